package trial

import (
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Design is an arrangement and how to try it: build(frame) places it and gives its rig, send(rig, n) says what is to
// happen, read(rig) tells what came out, which should be n. It cannot be changed, and its functions are frozen: they keep
// nothing from one trial to the next.
type Design struct {
	Name, Author, Version, Note string
	Build, Send, Read           starlark.Callable
	Over                        starlark.Value    // a tuple of numbers, or a function from the size to them; None: not said
	Slice                       starlark.Callable // places what repeats; nil: not said
	Pitch                       engine.Cell       // what lies between a slice and the next one; zero: nothing does, or it was not said
	pitched                     bool              // it was said
	World                       builtins.Worldly  // for which it was made; nil: not said
	Sized                       bool              // build takes a size: build(frame, size)
	usual                       int               // the size it has if none is given; 0: one must be given
	Chained                     bool              // try a chain of slices instead of what build places
}

var _ starlark.HasAttrs = (*Design)(nil)

func (d *Design) Type() string          { return "design" }
func (d *Design) Freeze()               {}
func (d *Design) Truth() starlark.Bool  { return starlark.True }
func (d *Design) Hash() (uint32, error) { return starlark.String(d.Name).Hash() }

func (d *Design) String() string {
	s := "design " + starlark.String(d.Name).String()
	if d.Version != "" {
		s += ", version " + say.OneLine(d.Version)
	}
	if d.Author != "" {
		s += ", by " + say.OneLine(d.Author)
	}
	return s
}

var designAttrs = []string{"author", "build", "name", "note", "over", "pitch", "read", "send", "slice", "version", "world"}

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
		if d.Slice != nil {
			return d.Slice, nil
		}
		return starlark.None, nil
	case "pitch":
		if d.pitched {
			return builtins.CellValue(d.Pitch), nil
		}
		return starlark.None, nil
	case "world":
		if d.World != nil {
			return d.World, nil
		}
		return starlark.None, nil
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
				{Name: "pitch", Type: "cell", Default: "None", Optional: true, Keyword: true, Doc: "the offset from one slice to the next"},
				{Name: "world", Type: "a world", Default: "None", Optional: true, Keyword: true, Doc: "the world it was made for; data sheets name it. Experiments go by the rules in force: fresh(w) takes a bench in it"}},
			Returns: "the design, with .name .author .version .note .build .send .read .over .slice .pitch .world",
			Example: PlainLine + "expect_equal(line.version, \"1\")\nexpect_equal(designs()[0].name, \"plain line\")",
			See:     []string{"designs", "sweep", "survey"}, Call: makeDesign},
		{Name: "designs", Topic: "experiments", Sentence: "Lists the designs registered so far.", Returns: "a list of designs, in the order in which they were first registered",
			Example: PlainLine + "expect_equal([d.name for d in designs()], [\"plain line\"])", See: []string{"design"}, Call: listDesigns},
	}
}

func makeDesign(c *builtins.Call) (starlark.Value, error) {
	d := &Design{Name: c.Str("name"), Author: c.Str("author"), Version: c.Str("version"), Note: c.Str("note")}
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
		vs, err := values(c.Env, over)
		if err != nil {
			c.Fail("for parameter over: got %w", err)
		}
		d.Over = starlark.Tuple(vs)
		c.Freeze("over", d.Over)
	default:
		c.Bad("over", builtins.Show(over), "")
	}
	if c.Has("slice") {
		d.Slice = fn("slice")
	}
	if c.Has("pitch") {
		d.Pitch, d.pitched = c.Cell("pitch"), true
	}
	if c.Has("world") && c.Err == nil {
		var ok bool
		if d.World, ok = c.Value("world").(builtins.Worldly); !ok {
			c.Bad("world", builtins.Show(c.Value("world")), "a world, as world() gives it")
		}
	}
	d.Sized, d.usual = sizeParam(d.Build)
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
