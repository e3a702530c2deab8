package inspect

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// Look is all there is to know of a part or cell, as it was when somebody looked. What state() gives a script and what help says of a part
// are this.
type Look struct {
	bench *engine.Bench
	id    engine.ID     // 0 for a cell of which nothing is known
	cell  engine.Cell   // where it lies, if onLattice
	env   *builtins.Env // how wide its text is

	onLattice bool
	state     engine.State
	pads      []engine.Pad
	tellers   []engine.ID
	readers   []engine.Reader
	cords     []engine.Tied
	params    []starlark.Tuple // name and value of each parameter it would have to be placed with, but where and its name
}

func stateWords() []builtins.Entry {
	return []builtins.Entry{
		{Name: "state", Topic: "seeing", Sentence: "Tells all there is to know of a part or cell, as it is now: how it was placed, what it reads and whether that is live, who can tell it, what it feeds.",
			Params:  []builtins.Param{{Name: "target", Type: "part", Doc: "a part, its name, or any cell"}},
			Returns: "a state with .kind .name .at .state .level .tokens .powered .armed .forced .queued .timer .transit .slug (that sits there) .awaits; .params, as the placing word takes them; .reads (each .cell .part .live .far), .tellers, .feeds (each .part .live), .cords (each .a .b .power .news .invert .live); .text",
			Example: "battery((0, 0))\nl = link((1, 0), \"+y\")\nexpect(state(l).armed)\nexpect_equal([(r.cell, r.part) for r in state(l).reads if r.live], [((0, 0), parts(\"battery\")[0])])\nlink((9, 9), **state(l).params)\nexpect_equal(state((5, 5)).kind, \"cell\")", See: []string{"parts", "armed"}, Call: showState},
	}
}

func showState(c *builtins.Call) (starlark.Value, error) {
	t := c.Target("target")
	if c.Err != nil {
		return nil, c.Err
	}
	return lookAt(c.Env, c.Env.Bench, t), nil
}

var (
	_ starlark.HasAttrs   = (*Look)(nil)
	_ starlark.Comparable = (*Look)(nil)
)

// lookAt looks at a part or cell.
func lookAt(e *builtins.Env, b *engine.Bench, t engine.Target) *Look {
	builtins.InquiryOf(b).Want(builtins.AskedPlace)
	builtins.InquiryOf(b).Look()
	l := &Look{bench: b, id: t.ID, cell: t.Cell, env: e, onLattice: true}
	if t.ID == 0 {
		l.id, _ = b.IDAt(t.Cell)
		l.state = b.CellState(t.Cell)
		l.readers = b.Readers(l.id)
		return l
	}
	l.cell, l.onLattice = b.CellOf(t.ID)
	l.state = b.State(t.ID)
	l.pads, l.tellers, l.readers, l.cords = b.Pads(t.ID), b.Tellers(t.ID), b.Readers(t.ID), b.CordsOf(t.ID)
	l.params = builtins.ParamsOf(builtins.Part{Bench: b, ID: t.ID})
	return l
}

func (l *Look) kind() engine.Kind { return l.bench.KindOf(l.id) }

func (l *Look) Type() string          { return "state" }
func (l *Look) Freeze()               {}
func (l *Look) Truth() starlark.Bool  { return starlark.True }
func (l *Look) Hash() (uint32, error) { return 0, fmt.Errorf("a state cannot be a key of a dict") }

// CompareSameType: states are equal if all that they tell is.
func (l *Look) CompareSameType(op builtins.Token, y starlark.Value, depth int) (bool, error) {
	if op != syntax.EQL && op != syntax.NEQ {
		return builtins.Equality(op, false, "state")
	}
	m := y.(*Look)
	if l.bench == m.bench { // no need to write anything down
		same := l.sameTies(m)
		for i := 0; same && i < len(l.params); i++ {
			var err error
			if same, err = starlark.EqualDepth(l.params[i], m.params[i], depth-1); err != nil {
				return false, err
			}
		}
		return same == (op == syntax.EQL), nil
	}
	for _, name := range lookAttrs {
		a, _ := l.Attr(name)
		b, _ := m.Attr(name)
		if same, err := starlark.EqualDepth(a, b, depth-1); err != nil || !same {
			return op == syntax.NEQ, err
		}
	}
	return op == syntax.EQL, nil
}

// sameTies reports whether two looks on one bench saw the same, but for what the part would have to be placed with.
func (l *Look) sameTies(m *Look) bool {
	return l.id == m.id && l.cell == m.cell && l.onLattice == m.onLattice && l.state == m.state && len(l.params) == len(m.params) &&
		slices.Equal(l.pads, m.pads) && slices.Equal(l.tellers, m.tellers) && slices.Equal(l.readers, m.readers) && slices.Equal(l.cords, m.cords)
}

var lookAttrs = []string{"armed", "at", "awaits", "cords", "feeds", "forced", "kind", "level", "name", "params", "powered", "queued", "reads", "slug", "state",
	"tellers", "text", "timer", "tokens", "transit"}

// AttrNames lists the attributes.
func (l *Look) AttrNames() []string { return slices.Clone(lookAttrs) }

// Attr reads an attribute.
func (l *Look) Attr(name string) (starlark.Value, error) {
	s := &l.state
	switch name {
	case "kind":
		return starlark.String(l.kind().String()), nil
	case "name":
		if n := l.bench.Name(l.id); n != "" {
			return starlark.String(n), nil
		}
		return starlark.None, nil
	case "at":
		if !l.onLattice {
			return starlark.None, nil
		}
		return builtins.CellValue(l.cell), nil
	case "slug":
		if s.Seated == engine.NoSlug {
			return starlark.None, nil
		}
		return starlark.String(s.Seated.String()), nil
	case "state":
		return builtins.StateValue(l.kind(), *s), nil
	case "level":
		return starlark.MakeInt(s.Level), nil
	case "tokens":
		return starlark.MakeInt(s.Tokens), nil
	case "powered":
		return starlark.Bool(s.Powered), nil
	case "armed":
		return starlark.Bool(s.Armed), nil
	case "forced":
		return starlark.Bool(s.Forced), nil
	case "queued":
		return starlark.Bool(s.Queued), nil
	case "timer":
		return starlark.Bool(s.Timer), nil
	case "transit":
		return starlark.Bool(s.Transit), nil
	case "awaits":
		return starlark.Bool(s.Awaits), nil
	case "text":
		return starlark.String(l.String()), nil
	}
	return l.ties(name), nil
}

// ties are the attributes that tell what it is tied to, and how it was placed. Their order goes by the neighbour order.
func (l *Look) ties(name string) starlark.Value {
	builtins.InquiryOf(l.bench).Want(builtins.AskedOrder)
	list := []starlark.Value{}
	switch name {
	case "params":
		d := starlark.NewDict(len(l.params))
		for _, p := range l.params {
			d.SetKey(p[0], p[1])
		}
		return d
	case "reads":
		for _, p := range l.pads {
			list = append(list, builtins.StructOf("pad", starlark.StringDict{"cell": builtins.CellValue(p.Cell), "part": builtins.PartValue(l.bench, p.ID), "live": starlark.Bool(p.Live), "far": starlark.Bool(p.Far)}))
		}
	case "tellers":
		for _, id := range l.tellers {
			list = append(list, builtins.PartValue(l.bench, id))
		}
	case "feeds":
		for _, r := range l.readers {
			if !r.Tokens {
				list = append(list, builtins.StructOf("feeds", starlark.StringDict{"part": builtins.PartValue(l.bench, r.ID), "live": starlark.Bool(r.Live)}))
			}
		}
	case "cords":
		for _, c := range l.cords {
			list = append(list, builtins.StructOf("cord", starlark.StringDict{"a": builtins.PartValue(l.bench, c.From), "b": builtins.PartValue(l.bench, c.To), "power": starlark.Bool(c.Power),
				"news": starlark.Bool(c.News), "invert": starlark.Bool(c.Invert), "live": starlark.Bool(c.Live)}))
		}
	default:
		return nil
	}
	return starlark.NewList(list)
}

// String is what state() shows.
func (l *Look) String() string {
	head := "cell " + l.cell.String()
	if l.kind() != engine.Bare {
		head = builtins.Describe(l.bench, l.id)
	}
	lines := []string{l.env.Paragraph(say.Clean(head)+": "+strings.Join(l.now(), ", "), "")}
	for _, f := range l.Facts() {
		indent := strings.Repeat(" ", FactWidth+4)
		lines = append(lines, "  "+say.Align(f.About, FactWidth, "left", " ")+"  "+strings.TrimPrefix(l.env.Wrap(f.Text, indent), indent))
	}
	return strings.Join(lines, "\n")
}

// now is the state in words, and all else that is so now.
func (l *Look) now() []string {
	s, kind := &l.state, l.kind()
	word := builtins.Text(builtins.StateValue(l.kind(), *s))
	switch shows := kind.Trait().Shows; {
	case shows == engine.ShowsLevel:
		word = fmt.Sprintf("level %d", s.Level)
	case shows.Holds():
		word = say.Count(s.Tokens, "token")
	case s.Conduct && s.Level > 0:
		word += fmt.Sprintf(", level %d", s.Level)
	}
	words := []string{word}
	slug := ""
	if s.Seated != engine.NoSlug {
		slug = fmt.Sprintf("a %v sits here", s.Seated)
		if s.Loose {
			slug = fmt.Sprintf("a loose %v sits here", s.Seated)
		}
	}
	for _, w := range []struct {
		so   bool
		text string
	}{{s.Armed, "armed"}, {s.Powered && !s.Armed, "powered"}, {s.Forced && kind != engine.Bare, "forced"}, {s.Queued, "its act is queued"}, {s.Transit, "its slug is in transit"},
		{s.Timer, "its timer is set"}, {slug != "", slug}, {s.Awaits, "a slug is on its way here"}} {
		if w.so {
			words = append(words, w.text)
		}
	}
	return words
}
