package trial

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Design is an arrangement and how to try it: build(frame) places it and gives its rig, send(rig, n) says what is to
// happen, read(rig) tells what came out, which should be n. It cannot be changed, and its three functions are frozen
// when it is made: they keep nothing from one trial to the next.
type Design struct {
	Name, Author, Version, Note string
	Build, Send, Read           starlark.Callable
	Over                        starlark.Value // numbers, or a function from the size to them
	Slice                       starlark.Value // what repeats: a function over a frame; None if it was not said
	Pitch                       starlark.Value // the offset from a slice to the next; None if it was not said
}

var _ starlark.HasAttrs = (*Design)(nil)

func (d *Design) Type() string          { return "design" }
func (d *Design) Freeze()               {}
func (d *Design) Truth() starlark.Bool  { return starlark.True }
func (d *Design) Hash() (uint32, error) { return starlark.String(d.Name).Hash() }

func (d *Design) String() string {
	s := "design " + starlark.String(d.Name).String()
	if d.Version != "" {
		s += ", version " + d.Version
	}
	if d.Author != "" {
		s += ", by " + d.Author
	}
	return s
}

var designAttrs = []string{"author", "build", "name", "note", "over", "pitch", "read", "send", "slice", "version"}

// AttrNames lists the attributes.
func (d *Design) AttrNames() []string { return slices.Clone(designAttrs) }

// Attr reads an attribute.
func (d *Design) Attr(name string) (starlark.Value, error) {
	switch name {
	case "name":
		return starlark.String(d.Name), nil
	case "author":
		return starlark.String(d.Author), nil
	case "version":
		return starlark.String(d.Version), nil
	case "note":
		return starlark.String(d.Note), nil
	case "build":
		return d.Build, nil
	case "send":
		return d.Send, nil
	case "read":
		return d.Read, nil
	case "over":
		return d.Over, nil
	case "slice":
		return d.Slice, nil
	case "pitch":
		return d.Pitch, nil
	}
	return nil, nil
}

// plainFunctions are the functions of the design that the examples of experiments try, plainLine is the design.
const (
	PlainFunctions = `def build(f):
    line = f.wire((0, 0), (9, 0))
    return struct(input=line.first, out=probe(line.last))

def send(rig, n):
    fire(rig.input, n)

def read(rig):
    return rig.out.width

`
	PlainLine = PlainFunctions + `line = design("plain line", build, send, read, range(1, 6), author="harbour office", version="1")
`
)

func designWords() []builtins.Entry {
	return []builtins.Entry{
		{Name: "design", Topic: "experiments", Sentence: "Registers an arrangement and the three functions that try it, for sweep, survey and the other experiments; a later one of the same name takes its place.",
			Params: []builtins.Param{
				{Name: "name", Type: "string", Doc: "what it is called"},
				{Name: "build", Type: "function", Doc: "build(frame): places it through the frame, on the bench it finds, and gives the rig: what send and read need; build(frame, size) if it comes in sizes, or build(frame, size=6) with the size it has where none is given"},
				{Name: "send", Type: "function", Doc: "send(rig, n): presses, fires or nudges; time passes after it, to quiet. The rig is frozen between build and send, with its lists and dicts: send cannot note its own start there; events() and probes know it"},
				{Name: "read", Type: "function", Doc: "read(rig): what came out; it should be n. Nothing is kept from one trial to the next: each begins with the rig as it was built, and what else the functions hold is frozen"},
				{Name: "over", Type: "a list of numbers", Doc: "the n it is for; of a design with sizes also a function from the size to them"},
				{Name: "author", Type: "string", Default: `""`, Optional: true, Keyword: true, Doc: "who made it"},
				{Name: "version", Type: "string", Default: `""`, Optional: true, Keyword: true, Doc: "which version this is"},
				{Name: "note", Type: "string", Default: `""`, Optional: true, Keyword: true, Doc: "what to know about it"},
				{Name: "slice", Type: "function", Default: "None", Optional: true, Keyword: true, Doc: "slice(frame): places what repeats"},
				{Name: "pitch", Type: "cell", Default: "None", Optional: true, Keyword: true, Doc: "the offset from one slice to the next"}},
			Returns: "the design, with .name .author .version .note .build .send .read .over .slice .pitch",
			Example: PlainLine + "expect_equal(line.version, \"1\")\nexpect_equal(designs()[0].name, \"plain line\")",
			See:     []string{"designs", "sweep", "survey"}, Call: makeDesign},
		{Name: "designs", Topic: "experiments", Sentence: "Lists the designs registered so far.", Returns: "a list of designs, in the order in which they were first registered",
			Example: PlainLine + "expect_equal([d.name for d in designs()], [\"plain line\"])", See: []string{"design"}, Call: listDesigns},
	}
}

func makeDesign(c *builtins.Call) (starlark.Value, error) {
	d := &Design{Name: c.Str("name"), Author: c.Str("author"), Version: c.Str("version"), Note: c.Str("note"), Slice: starlark.None, Pitch: starlark.None}
	if d.Name == "" && c.Err == nil {
		c.Bad("name", `""`, "a name")
	}
	fn := func(param string) starlark.Callable {
		f, ok := c.Value(param).(starlark.Callable)
		if !ok {
			c.Bad(param, builtins.Show(c.Value(param)), "")
			return nil
		}
		c.Freeze(param, f)
		return f
	}
	d.Build, d.Send, d.Read = fn("build"), fn("send"), fn("read")
	switch over := c.Value("over").(type) {
	case starlark.Callable:
		c.Freeze("over", over)
		d.Over = over
	case starlark.Iterable:
		d.Over = starlark.Tuple(slices.Collect(starlark.Elements(over)))
		c.Freeze("over", d.Over)
	default:
		c.Bad("over", builtins.Show(over), "")
	}
	if c.Has("slice") {
		d.Slice = fn("slice")
	}
	if c.Has("pitch") {
		d.Pitch = builtins.CellValue(c.Cell("pitch"))
	}
	if c.Err != nil {
		return nil, c.Err
	}
	e := c.Env
	if i := slices.IndexFunc(e.Designs, func(o starlark.Value) bool { return o.(*Design).Name == d.Name }); i >= 0 {
		e.Designs = slices.Clone(e.Designs) // lists given out keep theirs
		e.Designs[i] = d
	} else {
		e.Designs = append(slices.Clip(e.Designs), d)
	}
	return d, nil
}

func listDesigns(c *builtins.Call) (starlark.Value, error) {
	return starlark.NewList(slices.Clone(c.Env.Designs)), nil
}

// Setting is under what a trial runs: the rules of its bench, how its frame lies, how a fired pulse falls unless the script says.
type Setting struct {
	Rules  engine.Rules
	Late   bool
	X, Y   engine.Dir // where the frame's +x and +y point
	Mirror bool
}

// PlainSetting is how a design runs when nothing is said.
func PlainSetting(r engine.Rules) Setting { return Setting{Rules: r, X: engine.PosX, Y: engine.PosY} }

func (s Setting) Frame() *builtins.Frame {
	z := builtins.Cross(s.X, s.Y)
	if s.Mirror {
		z = z.Opposite()
	}
	return &builtins.Frame{Axes: [3]engine.Dir{s.X, s.Y, z}, Mirror: s.Mirror}
}

func (s Setting) Fall() string {
	if s.Late {
		return "late"
	}
	return "early"
}

// String names all but the order.
func (s Setting) String() string {
	return fmt.Sprintf("news=%q, reads=%q, travel=%d, fall=%q", builtins.NewsNames[s.Rules.News], builtins.ReadsNames[s.Rules.Reads], s.Rules.Travel, s.Fall())
}

// SettingNames are the names of what Set changes.
var SettingNames = []string{"order", "news", "reads", "travel", "reach", "run", "fall"}

// Set changes one thing of a setting, as a script writes it.
func (s *Setting) Set(name string, v starlark.Value) error {
	number := func(to *int, least, most int) error {
		n, err := starlark.AsInt32(v)
		if err != nil || n < least || n > most {
			return fmt.Errorf("%s: got %s, want a number from %d to %d", name, builtins.Show(v), least, most)
		}
		*to = n
		return nil
	}
	choice := func(names []string) (int, error) {
		w, _ := starlark.AsString(v)
		if i := slices.Index(names, w); i >= 0 {
			return i, nil
		}
		return 0, fmt.Errorf("%s: got %s, want one of %s %s", name, builtins.Show(v), names[0], names[1])
	}
	switch name {
	case "news":
		i, err := choice(builtins.NewsNames)
		s.Rules.News = engine.News(i)
		return err
	case "reads":
		i, err := choice(builtins.ReadsNames)
		s.Rules.Reads = engine.Reads(i)
		return err
	case "fall":
		i, err := choice([]string{"early", "late"})
		s.Late = i == 1
		return err
	case "travel":
		return number(&s.Rules.Travel, 1, engine.MaxTravel)
	case "reach":
		return number(&s.Rules.Reach, 1, engine.MaxReach)
	case "run":
		return number(&s.Rules.Run, 0, engine.MaxRun)
	case "order":
		o, bad := builtins.OrderOf(v)
		if bad != nil {
			return fmt.Errorf("order: for parameter order: got %s, want %s", builtins.Show(bad), builtins.WantOrder)
		}
		s.Rules.Order = o
		return nil
	}
	return fmt.Errorf("%q is nothing a design can be swept over, want one of n %s%s", name, builtins.Joined(SettingNames), say.DidYouMean(name, SettingNames))
}
