package sketch

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// Setting is one thing a legend says of a part, under the name it has where the part is placed by a word.
type Setting struct {
	Key string
	Val any // int64, string, bool, []engine.Cell, or nil for None
	At  Place
}

// numbers are the settings that are counts.
var numbers = []struct {
	key   string
	kinds []engine.Kind
	least int64
	to    func(*engine.Part) *int
}{
	{"hold", []engine.Kind{engine.Key}, 1, func(p *engine.Part) *int { return &p.Hold }},
	{"ticks", []engine.Kind{engine.Delay, engine.Oneshot, engine.Chute}, 1, func(p *engine.Part) *int { return &p.Ticks }},
	{"ticks", []engine.Kind{engine.Gate}, 0, func(p *engine.Part) *int { return &p.Ticks }},
	{"reject", []engine.Kind{engine.Delay}, 1, func(p *engine.Part) *int { return &p.Reject }},
	{"tokens", []engine.Kind{engine.Bucket, engine.Tray}, 0, func(p *engine.Part) *int { return &p.Tokens }},
	{"drop", []engine.Kind{engine.Bucket}, 1, func(p *engine.Part) *int { return &p.Drop }},
	{"room", []engine.Kind{engine.Tray}, 1, func(p *engine.Part) *int { return &p.Room }},
	{"travel", []engine.Kind{engine.Shuttle}, 1, func(p *engine.Part) *int { return &p.Travel }},
	{"keep", []engine.Kind{engine.Tray}, 0, func(p *engine.Part) *int { return &p.Keep }},
	{"level", []engine.Kind{engine.Meter}, 0, func(p *engine.Part) *int { return &p.Level }},
}

// Keys lists what a legend may say of a kind: all parameters of the word that places it, but those that the drawing shows.
func Keys(k engine.Kind) (keys []string) {
	for _, n := range numbers {
		if slices.Contains(n.kinds, k) {
			keys = append(keys, n.key)
		}
	}
	switch k {
	case engine.Delay:
		keys = append(keys, "mode")
	case engine.Gate:
		keys = append(keys, "op")
	case engine.Shuttle:
		keys = append(keys, "slug", "grip", "letgo")
	case engine.Told:
		keys = append(keys, "kind", "state")
	}
	if k.Trait().Given {
		keys = append(keys, "pads")
	}
	if k.Trait().Far != engine.NoFar {
		keys = append(keys, "far")
	}
	return append(keys, "name")
}

// shown are the settings that a drawing shows, and how.
var shown = map[string]string{
	"on":     "a capital letter says that it is on",
	"out":    "a capital letter says that it is out",
	"facing": "the sign behind its letter says which way it faces",
	"at":     "where it is drawn says where it goes",
}

// apply makes one setting.
func (t *Tile) apply(s Setting) error {
	if !slices.Contains(Keys(t.Kind), s.Key) {
		if how, ok := shown[s.Key]; ok {
			return wrong(s.At, "%s is not for the legend: in a drawing %s", s.Key, how)
		}
		return wrong(s.At, "no setting %q of a %s, want one of %s%s", s.Key, t.called(), strings.Join(Keys(t.Kind), " "), say.DidYouMean(s.Key, Keys(t.Kind)))
	}
	for _, n := range numbers {
		if n.key == s.Key && slices.Contains(n.kinds, t.Kind) {
			return t.number(s, n.least, n.to(&t.Part))
		}
	}
	if t.own != nil && s.Key != "name" {
		return t.own.tell(s)
	}
	text, isText := s.Val.(string)
	choice := func(ok bool, allowed ...string) error {
		if isText && ok {
			return nil
		}
		return wrong(s.At, "for %s: got %s, want one of %s%s", s.Key, showVal(s.Val), strings.Join(allowed, " "), say.DidYouMean(text, allowed))
	}
	ok := false
	switch s.Key {
	case "mode":
		t.Mode, ok = engine.ParseMode(text)
		return choice(ok, "stretch", "transport", "inertial")
	case "op":
		t.said = true
		t.Op, ok = engine.ParseOp(text)
		return choice(ok, engine.Ops()...)
	case "grip":
		if s.Val == nil {
			t.Grip = engine.NoGrip
			return nil
		}
		t.said = true
		t.Grip, ok = engine.ParseGrip(text)
		return choice(ok && t.Grip != engine.NoGrip, "push", "both")
	case "letgo":
		t.LetGo, ok = s.Val.(bool)
		isText = ok
		return choice(ok, "True", "False")
	case "slug":
		if t.said = true; s.Val == nil {
			t.Slug = engine.NoSlug
			return nil
		}
		t.Slug, ok = engine.ParseSlug(text)
		return choice(ok && t.Slug != engine.NoSlug, "plug", "feed", "bridge")
	case "far":
		if s.Val == nil {
			t.FarSet = false
			return nil
		}
		t.Far, ok = engine.ParseDir(text)
		t.FarSet = true
		return choice(ok, "+x", "-x", "+y", "-y", "+z", "-z")
	case "pads":
		pads, isList := s.Val.([]engine.Cell)
		if !isList && s.Val != nil {
			return wrong(s.At, "for pads: got %s, want a list of offsets such as [(0, -1), (2, 0)]", showVal(s.Val))
		}
		t.Pads = pads
		return nil
	}
	if s.Val == nil {
		text, isText = "", true
	}
	if t.Name = text; !isText {
		return wrong(s.At, "for name: got %s, want a string", showVal(s.Val))
	}
	return nil
}

// number reads a count of at least least.
func (t *Tile) number(s Setting, least int64, to *int) error {
	n, ok := s.Val.(int64)
	switch {
	case s.Val == nil && least == 1: // None: what it is if nothing is said
		*to = 0
		return nil
	case !ok:
		return wrong(s.At, "for %s: got %s, want a whole number", s.Key, showVal(s.Val))
	case n < least || n > engine.MaxTicks:
		return wrong(s.At, "for %s: got %d, want %d to %d", s.Key, n, least, engine.MaxTicks)
	}
	*to = int(n)
	t.many = t.many && s.Key != "tokens" && s.Key != "level"
	return nil
}

// showVal is a value as a legend writes it.
func showVal(v any) string {
	switch v := v.(type) {
	case nil:
		return "None"
	case bool:
		return map[bool]string{true: "True", false: "False"}[v]
	case string:
		return fmt.Sprintf("%q", v)
	case []engine.Cell:
		s := make([]string, len(v))
		for i, c := range v {
			s[i] = c.String()
		}
		return "[" + strings.Join(s, ", ") + "]"
	}
	return fmt.Sprint(v)
}

// Is reports whether a part is of a kind, has its letter, or bears a mark.
func (t *Tile) Is(sign string) bool {
	if m := []rune(sign); len(m) == 1 && t.Mark == m[0] && t.Mark != 0 {
		return true
	}
	if t.own != nil {
		return t.own.is(sign)
	}
	g := Given{Sign: sign}
	return t.Kind == g.kind()
}
