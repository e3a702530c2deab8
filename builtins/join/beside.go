package join

import (
	"errors"
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

func besideWords() []builtins.Entry {
	lie := builtins.LieParams()
	for i := range lie {
		lie[i].Keyword = true
	}
	return []builtins.Entry{{Name: "beside", Topic: "frames", Sentence: "Gives the frame in which a port of a design comes to stand right where another port leads: in the cell that lies that way of it, or in the very cell if either port is a free cell. What would not be joined, not have room, go beyond reach or touch elsewhere than at the ports is refused. Nothing is placed.",
		Params: append([]builtins.Param{
			{Name: "port", Type: "a part or a free cell", Doc: "what the design is joined to; a part leads where its .way says"},
			{Name: "build", Type: "a function or a design", Doc: "build(frame), which places the design and gives its ports; it is called once more, on an empty bench of its own, to see where they lie. For one that comes in sizes: lambda f: build(f, 6)"},
			{Name: "into", Type: "string", Default: `"input"`, Optional: true, Doc: "which of its ports comes to stand there"},
			{Name: "way", Type: "string", Default: "None", Optional: true, Keyword: true, Allowed: []string{"+x", "-x", "+y", "-y", "+z", "-z"}, Doc: "where the port leads; None: its .way"},
			{Name: "touch", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: the two may touch elsewhere, and go beyond reach"}}, lie...),
		Returns: "the frame, for build(frame)",
		Example: "def berth(f):\n    f.wire((0, 0), (2, 0))\n    f.lamp((3, 0), name=\"lamp\")\n    return f.ports(input=(0, 0))\n\nquay = wire((0, 0), (0, 4))\nat = beside(quay.last, berth, x=\"+y\", name=\"berth\")\nberth(at)\nfire(quay.first, 3)\nrun()\nexpect_equal(at.at, (0, 5))\nexpect_equal(at.part(\"lamp\").at, (0, 8))\nexpect_equal(len(probe(\"berth.lamp\").pulses), 1)",
		See:     []string{"frame", "frame.ports", "lay"}, Call: beside, Framed: true}}
}

// draft is a design as it is built on an empty bench, in a frame at (0, 0, 0).
type draft struct {
	bench *engine.Bench
	ports *starlarkstruct.Struct
	into  string
	id    engine.ID // the port of that name; 0: a free cell
	cell  engine.Cell
}

// beside finds the place of the frame, and refuses what could not be built there or would not be joined.
func beside(c *builtins.Call) (starlark.Value, error) {
	b := c.Env.Bench
	port := moor(c, "port")
	f, err := c.Lie()
	if err != nil {
		return nil, err
	}
	d, err := drawn(c, f)
	if err != nil {
		return nil, err
	}
	stand := port.cell
	if port.id != 0 && d.id != 0 {
		way, ok := builtins.WayOf(b, port.id)
		if c.Has("way") {
			way, ok = c.Dir("way"), true
		}
		if c.Err != nil {
			return nil, c.Err
		}
		if !ok {
			return nil, c.Fail("nothing says which way %s leads: it has no front that it feeds, and is no end of a row; give way, one of +x -x +y -y +z -z", builtins.Describe(b, port.id))
		}
		if !fits(b, port.id, way, d.bench, d.id) {
			return nil, d.misfit(c, port.id, way)
		}
		stand = stand.Add(way.Cell())
	}
	if c.Frame == nil || c.Frame.By == nil {
		c.Env.Inquiry.Want(builtins.AskedPlace) // the frame lies by the directions of the bench
	}
	f.At = stand.Sub(d.cell)
	if err := d.room(c, f.At); err != nil || c.Bool("touch", false) {
		return f, err
	}
	if err := d.apart(c, port, f.At); err != nil {
		return nil, err
	}
	return f, d.carried(c, port, f.At)
}

// drawn builds the design on a bench of its own, in the orientation of f, and finds the port. What it prints, draws by lot or asks for
// stays there; but a trial is told what it asked for.
func drawn(c *builtins.Call, f *builtins.Frame) (*draft, error) {
	build, ok := c.Value("build").(starlark.Callable)
	if h, has := c.Value("build").(starlark.HasAttrs); has && !ok {
		v, _ := h.Attr("build")
		build, ok = v.(starlark.Callable)
	}
	if !ok {
		return nil, c.Bad("build", builtins.Show(c.Value("build")), "a function such as build(frame), or a design")
	}
	d := &draft{into: "input", bench: engine.New(c.Env.Bench.Rules())}
	if c.Has("into") {
		d.into = c.Str("into")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	e := c.Env
	own := &builtins.Env{Notes: e.Notes, Bench: d.bench, Ctx: e.Inside(), Width: e.Width, ASCII: e.ASCII, Seed: e.Seed, Workers: 1, Source: e.Source, Library: e.Library, Limit: e.Limit, Trial: true}
	own.Log, own.Watch = nil, nil
	if err := own.TooDeep(); err != nil {
		return nil, c.Wrap(err)
	}
	d.bench.Aside = &own.Inquiry
	there := *f
	there.At, there.By = engine.Cell{}, &own.Inquiry
	v, err := apart(c.Thread, own, e, build, &there)
	asked := own.Inquiry.Close()
	e.Inquiry.Want(asked & (builtins.AskedRules | builtins.AskedPlace))
	if e.Inquiry.Word == "" {
		e.Inquiry.Word = own.Inquiry.Word
	}
	if err == nil && own.Bench != d.bench {
		err = errors.New("it takes a fresh bench; it must place its parts on the one it finds")
	}
	if err != nil {
		if stopped := e.Stopped(); stopped != nil {
			return nil, stopped
		}
		return nil, c.Fail("build, on a bench of its own: %w", err)
	}
	return d, d.find(c, v)
}

// apart calls build in another world than that of the thread, in which nobody sees what it prints.
func apart(t *starlark.Thread, own, world *builtins.Env, build starlark.Callable, f *builtins.Frame) (starlark.Value, error) {
	print := t.Print
	defer func() { t.Print = print; world.Attach(t) }()
	t.Print = func(*starlark.Thread, string) {}
	own.Attach(t)
	return starlark.Call(t, build, starlark.Tuple{f}, nil)
}

// find finds the port among what build gave.
func (d *draft) find(c *builtins.Call, v starlark.Value) error {
	var ok bool
	if d.ports, ok = v.(*starlarkstruct.Struct); !ok {
		return c.Fail("build gives %s, want its ports, as f.ports(input=..., output=...) makes them", builtins.Show(v))
	}
	p, err := d.ports.Attr(d.into)
	if err != nil || p == nil {
		return c.Fail("build gives no port %q; its ports: %s%s", d.into, d.list(), say.DidYouMean(d.into, d.ports.AttrNames()))
	}
	if part, ok := p.(builtins.Part); ok && part.Bench == d.bench && part.Valid() {
		if d.cell, ok = d.bench.CellOf(part.ID); !ok {
			return c.Fail("the port %s is %s, which can stand beside nothing; patch() joins what lies on the shelf", d.into, builtins.Describe(d.bench, part.ID))
		}
		d.id = part.ID
		return nil
	}
	if d.cell, ok = builtins.AsCell(p); !ok {
		return c.Fail("the port %s is %s, want one part or a free cell; its ports: %s", d.into, builtins.Show(p), d.list())
	}
	return nil
}

// list names the ports and says what each is.
func (d *draft) list() string {
	var ports []string
	for _, name := range d.ports.AttrNames() {
		v, _ := d.ports.Attr(name)
		if p, ok := v.(builtins.Part); ok && p.Bench == d.bench && p.Valid() {
			ports = append(ports, fmt.Sprintf("%s (%s)", name, builtins.PortKind(p)))
		} else if _, ok := builtins.AsCell(v); ok {
			ports = append(ports, name+" (cell)")
		}
	}
	if len(ports) == 0 {
		return "none"
	}
	return strings.Join(ports, ", ")
}

// fits reports whether one of two parts gives what the other takes; b, on bench o, will lie that way of a.
func fits(m *engine.Bench, a engine.ID, way engine.Dir, o *engine.Bench, b engine.ID) bool {
	back := way.Opposite()
	return builtins.Gives(m, a, way) && builtins.Takes(o, b, back) || builtins.Gives(o, b, back) && builtins.Takes(m, a, way) ||
		carries(m, a, o, b, back) || carries(o, b, m, a, way)
}

// carries reports whether a reed hands its news on to a part: to a reed that faces alike, or to whoever hears on that side and is no reed.
func carries(m *engine.Bench, reed engine.ID, o *engine.Bench, to engine.ID, side engine.Dir) bool {
	if m.KindOf(reed) != engine.Reed {
		return false
	}
	if o.KindOf(to) == engine.Reed {
		return m.Thing(reed).Facing == o.Thing(to).Facing
	}
	hears := o.TraitOf(to).Hears
	return hears != engine.HearsNot && (hears != engine.HearsBehind || side == o.Thing(to).Facing.Opposite())
}

// misfit says that two ports are no pair.
func (d *draft) misfit(c *builtins.Call, port engine.ID, way engine.Dir) error {
	b := c.Env.Bench
	turned := ""
	for e := range engine.Dir(6) {
		if builtins.Gives(b, port, way) && builtins.Takes(d.bench, d.id, e) || builtins.Takes(b, port, way) && builtins.Gives(d.bench, d.id, e) {
			turned = "; in another orientation they would be joined: give x, y or mirror"
		}
	}
	return c.Fail("%s (%s) and the port %s, %s (%s), would stand side by side along %v, and neither gives what the other takes; the ports of the design: %s%s",
		builtins.Describe(b, port), builtins.PortKind(builtins.Part{Bench: b, ID: port}), d.into, say.Article(d.bench.KindName(d.id)),
		builtins.PortKind(builtins.Part{Bench: d.bench, ID: d.id}), way, d.list(), turned)
}

// room refuses a place where something stands in a cell that the design needs, for a part or for a slug, and one where the design would stand
// in the way of a slug.
func (d *draft) room(c *builtins.Call, at engine.Cell) error {
	b := c.Env.Bench
	mine := map[engine.Cell]engine.ID{} // the seats of the design
	const other = "; want room for all of it: another orientation (x, y, mirror), another port or another layer"
	for id := range d.bench.Parts() {
		here, onLattice := d.bench.CellOf(id)
		cell := at.Add(here)
		switch there, taken := b.PartAt(cell); {
		case !onLattice:
			continue
		case !cell.Inside():
			return c.Fail("%s of the design would stand at %v, beyond the edge; want coordinates from -%d to %d", d.who(id), cell, engine.Limit, engine.Limit)
		case taken:
			return c.Fail("%s of the design would stand at %v, where %s stands%s", d.who(id), cell, builtins.Describe(b, there), other)
		case loose(b, cell) && d.bench.KindOf(id) != engine.Jack:
			return c.Fail("%s of the design would stand at %v, where a loose slug lies%s", d.who(id), cell, other)
		}
		for _, seat := range seats(d.bench, id) {
			seat = at.Add(seat)
			mine[seat] = id
			what := "a loose slug lies"
			there, taken := b.PartAt(seat)
			if taken = taken && b.KindOf(there) != engine.Jack; taken {
				what = builtins.Describe(b, there) + " stands"
			}
			if taken || loose(b, seat) {
				return c.Fail("%v would be a seat of %s of the design, and %s there%s", seat, d.who(id), what, other)
			}
		}
	}
	for there := range b.Parts() {
		for _, seat := range seats(b, there) {
			if id, ok := d.bench.PartAt(seat.Sub(at)); ok && d.bench.KindOf(id) != engine.Jack {
				return c.Fail("%s of the design would stand at %v, a seat of %s%s", d.who(id), seat, builtins.Describe(b, there), other)
			}
			if id, ok := mine[seat]; ok {
				return c.Fail("%v would be a seat of %s of the design, and is one of %s%s", seat, d.who(id), builtins.Describe(b, there), other)
			}
		}
	}
	return nil
}

// who is a part of the design by its kind and name.
func (d *draft) who(id engine.ID) string {
	return strings.TrimSpace(d.bench.KindName(id) + " " + d.bench.Name(id))
}

// loose reports whether a slug that belongs to no shuttle lies in a cell.
func loose(b *engine.Bench, cell engine.Cell) bool {
	id, ok := b.IDAt(cell)
	return ok && b.State(id).Loose
}

// seats are the two seats of a shuttle that moves slugs.
func seats(b *engine.Bench, id engine.ID) []engine.Cell {
	if b.KindOf(id) != engine.Shuttle {
		return nil
	}
	t := b.Thing(id)
	if t.Shelf || t.Slug == engine.NoSlug && t.Grip == engine.NoGrip {
		return nil
	}
	near := t.Cell.Add(t.Facing.Cell())
	return []engine.Cell{near, near.Add(t.Facing.Cell())}
}
