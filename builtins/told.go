package builtins

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// OwnKind is a kind of a script's own, as scripts hold it: the word that places its parts. It never changes.
type OwnKind struct {
	Spec  *engine.Spec
	Wants starlark.Callable                // the function that its table was asked of
	Again func(*Env) (*engine.Spec, error) // asks it once more, as its names stand now
	At    string                           // where it was told, in a script; "" if nobody knows
	word  *Entry
}

// NewOwnKind is a kind with such a table.
func NewOwnKind(s *engine.Spec, wants starlark.Callable, again func(*Env) (*engine.Spec, error), at string) *OwnKind {
	t := &OwnKind{Spec: s, Wants: wants, Again: again, At: at}
	t.word = toldWord(t)
	s.Aside = t
	return t
}

// Doc is the docstring of its function.
func (t *OwnKind) Doc() string {
	if fn, ok := t.Wants.(*starlark.Function); ok {
		return fn.Doc()
	}
	return ""
}

var (
	_ starlark.Callable   = (*OwnKind)(nil)
	_ starlark.HasAttrs   = (*OwnKind)(nil)
	_ starlark.Comparable = (*OwnKind)(nil)
)

func (t *OwnKind) String() string        { return "kind " + t.Spec.Name }
func (t *OwnKind) Name() string          { return t.Spec.Name }
func (t *OwnKind) Type() string          { return "kind" }
func (t *OwnKind) Freeze()               {}
func (t *OwnKind) Truth() starlark.Bool  { return starlark.True }
func (t *OwnKind) Hash() (uint32, error) { return starlark.String(t.Spec.Name).Hash() }

// CompareSameType: two kinds are equal if a bench takes them for the same: told alike, under one name.
func (t *OwnKind) CompareSameType(op syntax.Token, y starlark.Value, _ int) (bool, error) {
	same := t.Spec.Same(y.(*OwnKind).Spec)
	switch op {
	case syntax.EQL:
		return same, nil
	case syntax.NEQ:
		return !same, nil
	}
	return false, fmt.Errorf("kinds are equal or not; they have no order")
}

// AttrNames lists what a kind tells of itself.
func (t *OwnKind) AttrNames() []string { return []string{"letter", "name", "states"} }

// Attr reads an attribute.
func (t *OwnKind) Attr(name string) (starlark.Value, error) {
	switch name {
	case "letter":
		return starlark.String(t.Spec.Letter), nil
	case "name":
		return starlark.String(t.Spec.Name), nil
	case "states":
		states := make(starlark.Tuple, len(t.Spec.States))
		for i, s := range t.Spec.States {
			states[i] = starlark.String(s)
		}
		return states, nil
	}
	return nil, nil
}

// CallInternal places a part.
func (t *OwnKind) CallInternal(thread *starlark.Thread, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	return starlark.Call(thread, t.word.builtin, args, kwargs)
}

// Word is the entry of the word that places its parts.
func (t *OwnKind) Word() Entry { return *t.word }

// OwnKindOf is the kind of a part if it is a script's own, nil if it is not.
func OwnKindOf(b *engine.Bench, id engine.ID) *OwnKind {
	if s := b.Spec(id); s != nil {
		return s.Aside.(*OwnKind)
	}
	return nil
}

// Here says of what kind a part is placed that a script would have of kind s: of one that stands here and is told alike, else of s. Where another
// kind of its name or of its letter stands it fails, since their parts could not be told apart, in a log, on a map or in a sketch.
func (e *Env) Here(s *engine.Spec) (*engine.Spec, error) {
	b := e.Bench
	for _, have := range b.Specs() {
		if have == s || have.Name != s.Name && have.Letter != s.Letter {
			continue
		}
		for id := range b.Parts() {
			switch {
			case b.Spec(id) != have:
				continue
			case have.Name != s.Name:
				return nil, e.letterClash(s, have, "the kind of "+b.Label(id)+" here")
			case have.Same(s):
				return have, nil
			}
			return nil, clash(s, have, "that of "+b.Label(id)+" here", "take away what stands here of the other")
		}
	}
	if w := e.World; w != nil {
		for _, k := range w.Kinds() {
			have := k.Spec
			if have.Name == s.Name && !have.Same(s) {
				return nil, clash(s, have, "that of the world of this bench", "take another world")
			}
			if have.Name != s.Name && have.Letter == s.Letter {
				return nil, e.letterClash(s, have, "a kind of the world of this bench")
			}
		}
	}
	return s, nil
}

// clash refuses a kind whose name another one has.
func clash(s, have *engine.Spec, whose, or string) error {
	return fmt.Errorf("the kind %s%s is not %s%s, want one kind of each name on a bench: name one of them otherwise, or %s", s.Name, toldAt(s), whose, toldAt(have), or)
}

// letterClash refuses a kind whose letter another one has; whose says where that one is.
func (e *Env) letterClash(s, have *engine.Spec, whose string) error {
	var kinds []*engine.Spec
	for id := range e.Bench.Parts() {
		if k := e.Bench.Spec(id); k != nil {
			kinds = append(kinds, k)
		}
	}
	if e.World != nil {
		for _, k := range e.World.Kinds() {
			kinds = append(kinds, k.Spec)
		}
	}
	return LetterClash(s, have, whose, kinds)
}

// LetterClash says that two kinds have one letter, and which letters none of some kinds has.
func LetterClash(s, have *engine.Spec, whose string, kinds []*engine.Spec) error {
	letters := strings.Split(say.OwnLetters+"q", "")
	free := slices.DeleteFunc(slices.Clone(letters), func(l string) bool {
		return slices.ContainsFunc(kinds, func(k *engine.Spec) bool { return l == string(k.Letter) })
	})
	want := fmt.Sprintf("at most %d kinds, one for each letter", len(letters))
	if len(free) > 0 {
		want = "another letter for one of them: letter= takes " + strings.Join(free, " ") + " here"
	}
	return fmt.Errorf("the kind %s%s has the letter %c, and so has %s%s, %s; want %s", s.Name, toldAt(s), s.Letter, have.Name, toldAt(have), whose, want)
}

// toldAt is where in a script a kind was told.
func toldAt(s *engine.Spec) string {
	if at := s.Aside.(*OwnKind).At; at != "" {
		return " (told at " + at + ")"
	}
	return ""
}

// wordOf is the word that places parts like this one.
func wordOf(b *engine.Bench, id engine.ID) *Entry {
	if t := OwnKindOf(b, id); t != nil {
		return t.word
	}
	return placedBy(b.KindOf(id))
}

// GroupNames are the groups of cells as scripts write them, in the order of the engine's.
var GroupNames = []string{"back", "front", "sides", "far_back", "far_front", "around"}

// toldWord is the entry of the word that places parts of a kind.
func toldWord(t *OwnKind) *Entry {
	s := t.Spec
	e := &Entry{Name: s.Name, Topic: "placing", Sentence: fmt.Sprintf("Places a %s, a kind of this script's own.", s.Name), Returns: "the part", Call: placeOne, Framed: true,
		Places: engine.Told, told: t, Params: []Param{atParam}}
	if s.Faces {
		e.Params = append(e.Params, facingParam)
	}
	e.Params = append(e.Params, Param{Name: "state", Type: "string", Default: starlark.String(s.States[0]).String(), Optional: true, Keyword: true, Allowed: s.States, Doc: "the state it starts in; its neighbours are not told",
		set: func(c *Call, param string) { c.part.State = slices.Index(s.States, c.Choice(param, s.States[0])) },
		of:  func(p Part) starlark.Value { return starlark.String(s.States[p.now().Told]) }}, NameParam)
	e.finish()
	e.attrs = e.partAttrs()
	return e
}

func toldWords() []Entry {
	return []Entry{
		{Name: "frame.put", Topic: "frames", Sentence: "Places a part by a placing word, of a kind of one's own or built in, in the frame.",
			Params: []Param{
				{Name: "word", Type: "a placing word", Doc: "what kind() gave, or a word such as lamp"},
				{Name: "arguments", Type: "value", Variadic: true, Doc: "where, and whatever else the word takes by position"},
				{Name: "named", Type: "value", Variadic: true, Keyword: true, Doc: "whatever it takes by name"}},
			Returns: "what the word gives",
			Example: "f = frame(at=(4, 0), x=\"+y\", name=\"r1\")\nl = f.put(lamp, (1, 0), name=\"berth\")\nexpect_equal((l.at, l.name), ((4, 1), \"r1.berth\"))",
			See:     []string{"kind", "frame"}, Call: putInFrame, method: true},
	}
}

// putInFrame places by any placing word.
func putInFrame(c *Call) (starlark.Value, error) {
	var word *Entry
	switch v := c.Value("word").(type) {
	case *OwnKind:
		word = v.word
	case *starlark.Builtin:
		entries()
		word = table.byName[v.Name()]
	}
	if word == nil || !word.Framed || word.Places == engine.Bare {
		return nil, c.Bad("word", Show(c.Value("word")), "a placing word: a kind of one's own, or one such as lamp")
	}
	thread, f, args, kwargs := c.Thread, c.Frame, c.Rest, c.kwargs
	v, err := starlark.Call(thread, word.builtin.BindReceiver(f), args, kwargs)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return v, nil
}
