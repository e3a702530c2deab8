package builtins

import (
	"fmt"
	"slices"
	"strconv"

	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// Frame is a moved, turned or mirrored corner of a bench. It holds no parts and belongs to no bench: it only says
// where things go. It cannot be changed.
type Frame struct {
	At     engine.Cell
	Axes   [3]engine.Dir // where its +x, +y and +z point on the bench
	Mirror bool
	Name   string   // with the names of the frames around it: "quay.r1"
	By     *Inquiry // of a trial's own frame, and those made of it: notes that it was asked how it lies
}

var _ starlark.HasAttrs = (*Frame)(nil)

// World is the frame that changes nothing.
var World = &Frame{Axes: [3]engine.Dir{engine.PosX, engine.PosY, engine.PosZ}}

func (f *Frame) Type() string          { return "frame" }
func (f *Frame) Freeze()               {}
func (f *Frame) Truth() starlark.Bool  { return starlark.True }
func (f *Frame) Hash() (uint32, error) { return starlark.String(f.String()).Hash() }

func (f *Frame) String() string {
	f.By.Want(AskedPlace)
	name, mirror := "", ""
	if f.Name != "" {
		name = " " + f.Name
	}
	if f.Mirror {
		mirror = ", mirrored"
	}
	return fmt.Sprintf("frame%s at %v, x to %v, y to %v%s", name, f.At, f.Axes[0], f.Axes[1], mirror)
}

// Cell gives the cell of the bench for a cell of the frame.
func (f *Frame) Cell(c engine.Cell) engine.Cell { return f.At.Add(f.Turn(c)) }

// Turn gives the offset on the bench for an offset in the frame.
func (f *Frame) Turn(c engine.Cell) engine.Cell {
	var out engine.Cell
	for i, n := range [3]int32{c.X, c.Y, c.Z} {
		d := f.Axes[i].Cell()
		out = out.Add(engine.Cell{X: n * d.X, Y: n * d.Y, Z: n * d.Z})
	}
	return out
}

// Local gives the cell of the frame for a cell of the bench.
func (f *Frame) Local(c engine.Cell) engine.Cell {
	c = c.Sub(f.At)
	var n [3]int32
	for i := range n {
		d := f.Axes[i].Cell()
		n[i] = c.X*d.X + c.Y*d.Y + c.Z*d.Z
	}
	return engine.Cell{X: n[0], Y: n[1], Z: n[2]}
}

// Dir gives the direction on the bench for a direction in the frame.
func (f *Frame) Dir(d engine.Dir) engine.Dir {
	out := f.Axes[d/2]
	if d&1 != 0 {
		out = out.Opposite()
	}
	return out
}

// Prefix is a name given in the frame as the bench knows it.
func (f *Frame) Prefix(name string) string {
	if f.Name == "" {
		return name
	}
	return f.Name + "." + name
}

// AutoName is what an unnamed part is called that is placed through a named frame: its kind and its cell in the frame,
// so that two slices built alike have parts called alike.
func (f *Frame) AutoName(kind string, at engine.Cell) string {
	c := f.Local(at)
	s := append(make([]byte, 0, 64), f.Name...)
	s = append(append(append(s, '.'), kind...), '(')
	s = strconv.AppendInt(s, int64(c.X), 10)
	s = strconv.AppendInt(append(s, ','), int64(c.Y), 10)
	if c.Z != 0 {
		s = strconv.AppendInt(append(s, ','), int64(c.Z), 10)
	}
	return string(append(s, ')'))
}

// AttrNames lists attributes and methods.
func (f *Frame) AttrNames() []string {
	entries()
	names := append([]string{"at", "mirror", "name", "x", "y", "z"}, table.methods...)
	slices.Sort(names)
	return names
}

// Attr reads an attribute, or binds a method.
func (f *Frame) Attr(name string) (starlark.Value, error) {
	switch name {
	case "at", "mirror", "x", "y", "z":
		f.By.Want(AskedPlace)
	}
	switch name {
	case "at":
		return CellValue(f.At), nil
	case "name":
		return starlark.String(f.Name), nil
	case "mirror":
		return starlark.Bool(f.Mirror), nil
	case "x":
		return starlark.String(f.Axes[0].String()), nil
	case "y":
		return starlark.String(f.Axes[1].String()), nil
	case "z":
		return starlark.String(f.Axes[2].String()), nil
	}
	entries()
	if e, ok := table.byName[name]; ok && e.Framed {
		return e.builtin.BindReceiver(f), nil
	}
	if e, ok := table.byName["frame."+name]; ok {
		return e.builtin.BindReceiver(f), nil
	}
	return nil, nil
}

// LieParams say how a frame lies, and what it is called.
func LieParams() []Param {
	return []Param{
		{Name: "x", Type: "string", Default: `"+x"`, Optional: true, Allowed: dirNames, Doc: "where its +x points"},
		{Name: "y", Type: "string", Default: "None", Optional: true, Allowed: dirNames, Doc: "where its +y points; None: z stays upright, or where x itself goes up or down, y is +y"},
		{Name: "mirror", Type: "bool", Default: "False", Optional: true, Doc: "True: the mirror image; y runs the other way if y is None and x lies level, else z does"},
		{Name: "name", Type: "string", Default: `""`, Optional: true, Doc: "put in front of the names of its parts; unnamed parts of a named frame are called by their kind and cell in it"}}
}

func frameWords() []Entry {
	const inFrame = "def mast(f):\n    f.key((0, 0), name=\"k\")\n    return f.ports(lamp=f.lamp((1, 0)))\n\n"
	return []Entry{
		{Name: "frame", Topic: "frames", Sentence: "Makes a moved, turned or mirrored corner of the bench, with the placing words as methods; names get the frame's name in front, as in \"r1.pull\".",
			Params:  append([]Param{{Name: "at", Type: "cell", Default: "(0, 0, 0)", Optional: true, Doc: "where its (0, 0, 0) lies"}}, LieParams()...),
			Returns: "the frame; frames nest: f.frame(...)",
			Example: inFrame + "port = mast(frame(at=(10, 4), x=\"+y\", name=\"r1\"))\npress(\"r1.k\")\nrun()\nexpect_equal(port.lamp.at, (10, 5))\nexpect_equal(port.lamp.state, \"lit\")",
			See:     []string{"frame.cell", "frame.ports", "rules"}, Call: newFrame, Framed: true},
		{Name: "frame.cell", Topic: "frames", Sentence: "Gives the cell of the bench for a cell of the frame, for words that are no methods of it.",
			Params: []Param{{Name: "at", Type: "cell", Doc: "a cell of the frame"}}, Returns: "a cell",
			Example: "f = frame(at=(10, 4), x=\"+y\")\nexpect_equal(f.cell((2, 0)), (10, 6))", See: []string{"frame.local", "frame.dir"}, Call: frameCell, method: true},
		{Name: "frame.local", Topic: "frames", Sentence: "Gives the cell of the frame for a cell of the bench.",
			Params: []Param{{Name: "at", Type: "cell", Doc: "a cell of the bench"}}, Returns: "a cell",
			Example: "f = frame(at=(10, 4), x=\"+y\")\nexpect_equal(f.local((10, 6)), (2, 0))", See: []string{"frame.cell"}, Call: frameLocal, method: true},
		{Name: "frame.dir", Topic: "frames", Sentence: "Gives the direction on the bench for a direction in the frame.",
			Params: []Param{{Name: "facing", Type: "string", Allowed: dirNames, Doc: "a direction in the frame"}}, Returns: "a direction",
			Example: "f = frame(x=\"+y\")\nexpect_equal(f.dir(\"+x\"), \"+y\")", See: []string{"frame.cell"}, Call: frameDir, method: true},
		{Name: "frame.part", Topic: "frames", Sentence: "Finds a part by its name in the frame or by its cell of the frame.",
			Params: []Param{{Name: "target", Type: "part", Doc: "its name without the frame's, or its cell"}}, Returns: "the part",
			Example: "f = frame(at=(10, 4), name=\"r1\")\nf.key((1, 0), name=\"k\")\nexpect_equal(f.part(\"k\"), f.part((1, 0)))", See: []string{"frame.cell", "parts"}, Call: framePart, method: true},
		{Name: "frame.ports", Topic: "frames", Sentence: "Makes the ports of a design: cells of the frame become the part there, or the cell of the bench if there is none; other values pass unchanged.",
			Params: []Param{{Name: "name", Type: "a part or a cell", Variadic: true, Keyword: true, Doc: "one for each port, as name=cell"}}, Returns: "a struct of that; a port that is a part has .port (what it is to others: conductor, reeds, feed, front feed or hearer), .way (where it goes on) and .at; one that is a cell is that cell",
			Example: "f = frame(at=(10, 4))\nf.wire((0, 0))\np = f.ports(into=(0, 0), free=(5, 0))\nexpect_equal((p.into.kind, p.into.port), (\"wire\", \"conductor\"))\nexpect_equal(p.free, (15, 4))", See: []string{"frame", "frame.cell"}, Call: framePorts, method: true},
	}
}

// Cross is the right-handed third direction of two that are at right angles.
func Cross(a, b engine.Dir) engine.Dir {
	p, q := a.Cell(), b.Cell()
	d, _ := engine.DirOf(engine.Cell{X: p.Y*q.Z - p.Z*q.Y, Y: p.Z*q.X - p.X*q.Z, Z: p.X*q.Y - p.Y*q.X})
	return d
}

func newFrame(c *Call) (starlark.Value, error) {
	f, err := c.Lie()
	if err != nil {
		return nil, err
	}
	if c.Has("at") {
		f.At = c.Cell("at")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	if abs(f.At.X) > engine.Limit || abs(f.At.Y) > engine.Limit || abs(f.At.Z) > engine.Limit {
		return nil, c.Bad("at", "a frame beyond the edge", fmt.Sprintf("coordinates from -%d to %d", engine.Limit, engine.Limit))
	}
	return f, nil
}

// Lie makes a frame that lies as LieParams say, in the frame around it and at the same place.
func (c *Call) Lie() (*Frame, error) {
	outer := c.Frame
	if outer == nil {
		outer = World
	}
	// Read in the coordinates of the frame around it; turned at the end.
	defer func(f *Frame) { c.Frame = f }(c.Frame)
	c.Frame = nil
	x, y := engine.PosX, engine.PosY
	if c.Has("x") {
		x = c.Dir("x")
	}
	mirror := c.Bool("mirror", false)
	switch {
	case c.Has("y"):
		y = c.Dir("y")
	case x/2 == engine.PosZ/2:
		y = engine.PosY
	default:
		y = Cross(engine.PosZ, x)
		if mirror {
			y = y.Opposite()
		}
	}
	name := c.Str("name")
	if c.Err == nil && name != "" {
		c.CheckName("name", name)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	if x/2 == y/2 {
		return nil, c.Fail("x and y must be at right angles, and %v is along %v; y may be one of %s", y, x, perpendicular(x))
	}
	z := Cross(x, y)
	if mirror {
		z = z.Opposite()
	}
	f := &Frame{At: outer.At, Axes: [3]engine.Dir{outer.Dir(x), outer.Dir(y), outer.Dir(z)}, Mirror: mirror != outer.Mirror, Name: outer.Name, By: outer.By}
	if name != "" {
		f.Name = outer.Prefix(name)
	}
	return f, nil
}

func perpendicular(d engine.Dir) string {
	s := ""
	for i, n := range dirNames {
		if engine.Dir(i)/2 != d/2 {
			s += " " + n
		}
	}
	return s[1:]
}

func frameCell(c *Call) (starlark.Value, error) {
	c.Frame.By.Want(AskedPlace)
	at := c.Cell("at")
	return CellValue(at), c.Err
}

func frameLocal(c *Call) (starlark.Value, error) {
	f := c.Frame
	f.By.Want(AskedPlace)
	c.Frame = nil
	at := c.Cell("at")
	return CellValue(f.Local(at)), c.Err
}

func frameDir(c *Call) (starlark.Value, error) {
	c.Frame.By.Want(AskedPlace)
	d := c.Dir("facing")
	return starlark.String(d.String()), c.Err
}

func framePart(c *Call) (starlark.Value, error) {
	id := c.Part("target")
	return Part{c.Env.Bench, id}, c.Err
}

func framePorts(c *Call) (starlark.Value, error) {
	ports := make([]starlark.Tuple, len(c.kwargs))
	for i, kv := range c.kwargs {
		ports[i] = kv
		if p, ok := kv[1].(Part); ok && !p.Valid() {
			return nil, c.Fail("the port %s is a part that is no longer there; it was removed or undone", kv[0].(starlark.String))
		}
		if cell, ok := AsCell(kv[1]); ok {
			cell = c.Frame.Cell(cell)
			port := CellValue(cell)
			if id, ok := c.Env.Bench.PartAt(cell); ok {
				port = Part{c.Env.Bench, id}
			} else {
				c.Frame.By.Want(AskedPlace)
			}
			ports[i] = starlark.Tuple{kv[0], port}
		}
	}
	return starlarkstruct.FromKeywords(starlarkstruct.Default, ports), nil
}
