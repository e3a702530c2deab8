package builtins

import (
	"fmt"
	"slices"
	"strconv"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Row is several parts placed by one word, in order: a stretch of wire, a line of reeds. It cannot be changed.
type Row struct {
	Bench *engine.Bench
	ids   []engine.ID
	name  string
}

var (
	_ starlark.Indexable = (*Row)(nil)
	_ starlark.Sequence  = (*Row)(nil)
	_ starlark.HasAttrs  = (*Row)(nil)
)

func (r *Row) Type() string          { return "row" }
func (r *Row) Freeze()               {}
func (r *Row) Truth() starlark.Bool  { return len(r.ids) > 0 }
func (r *Row) Hash() (uint32, error) { return uint32(r.ids[0]) * 2654435761, nil }
func (r *Row) Len() int              { return len(r.ids) }
func (r *Row) Index(i int) starlark.Value {
	return Part{r.Bench, r.ids[i]}
}

func (r *Row) String() string {
	if len(r.ids) == 1 {
		return "row of 1: " + r.Index(0).String()
	}
	return fmt.Sprintf("row of %d: %v to %v", len(r.ids), r.Index(0), r.Index(len(r.ids)-1))
}

// Iterate walks the parts.
func (r *Row) Iterate() starlark.Iterator { return &rowIterator{r, 0} }

type rowIterator struct {
	r *Row
	i int
}

func (it *rowIterator) Next(p *starlark.Value) bool {
	if it.i >= it.r.Len() {
		return false
	}
	*p = it.r.Index(it.i)
	it.i++
	return true
}

func (it *rowIterator) Done() {}

// AttrNames lists the attributes.
func (r *Row) AttrNames() []string { return []string{"cells", "first", "last", "name"} }

// Attr reads an attribute.
func (r *Row) Attr(name string) (starlark.Value, error) {
	switch name {
	case "first":
		return r.Index(0), nil
	case "last":
		return r.Index(len(r.ids) - 1), nil
	case "name":
		if r.name == "" {
			return starlark.None, nil
		}
		return starlark.String(r.name), nil
	case "cells":
		InquiryOf(r.Bench).Want(AskedPlace)
		cells := make([]starlark.Value, len(r.ids))
		for i, id := range r.ids {
			cell, _ := r.Bench.CellOf(id)
			cells[i] = CellValue(cell)
		}
		return starlark.NewList(cells), nil
	}
	return nil, nil
}

func rowWords() []Entry {
	to := Param{Name: "to", Type: "cell", Optional: true, Doc: "the other end of a straight row that begins at the first cell"}
	path := Param{Name: "path", Type: "a list of cells", Default: "None", Optional: true, Keyword: true, Doc: "the corners of a bent row, each straight on from the one before"}
	name := NameParam
	name.Doc += "; the parts of a row called line are line.0, line.1 and so on"
	return []Entry{
		{Name: "wire", Topic: "placing", Sentence: "Places a wire, or a row of them: a conductor, live while a feed is within reach cells.",
			Params: []Param{atParam, to, path, name}, Forms: []string{"wire(at, name=None)", "wire(from, to, name=None)", "wire(path=[...], name=None)"},
			Returns: "the part; of a row, the row: a list of parts with .first .last .cells",
			Example: "key((0, 0), name=\"k\")\nquay = wire((1, 0), (5, 0))\nbend = wire(path=[(6, 0), (6, 3), (9, 3)])\npress(\"k\")\nrun()\nexpect_equal(bend.last.state, \"live\")",
			See:     []string{"jack", "reed", "rules"}, Call: placeRow, Framed: true, Places: engine.Wire},
		{Name: "reed", Topic: "placing", Sentence: "Places a reed, or a row of them: it flips in zero steps when told, and a fed one holds those of its line up to run cells away.",
			Params: slices.Concat([]Param{atParam, to, facingParam, onParam}, padParams(engine.Reed), []Param{name}), Forms: []string{"reed(at, facing, on=False, pads=None, far=None, name=None)", "reed(from, to, facing, on=False, pads=None, far=None, name=None)"},
			Returns: "the part; of a row, the row: a list of parts with .first .last .cells",
			Example: "k = key((0, 0))\nline = reed((1, 0), (6, 0), \"+y\")\npress(k)\nrun()\nexpect_equal(line.last.state, \"on\")",
			See:     []string{"wire", "link", "rules"}, Call: placeRow, shape: reedShape, Framed: true, Places: engine.Reed},
	}
}

// reedShape tells reed(at, facing) from reed(from, to, facing): a direction is a string.
func reedShape(c *Call) {
	if facing, ok := c.Value("to").(starlark.String); ok && c.Value("facing") == nil {
		c.put("to", nil)
		c.put("facing", facing)
	}
}

// placeRow places one part, or all parts of a row, or none.
func placeRow(c *Call) (starlark.Value, error) {
	isPath := c.entry.Places == engine.Wire && c.Has("path")
	if !isPath && !c.Has("to") {
		if c.entry.Places == engine.Reed && c.Has("at") && !c.Has("facing") {
			return nil, c.missing("facing")
		}
		return placeCell(c)
	}
	corners, err := c.corners(isPath)
	if err != nil {
		return nil, err
	}
	if c.readPart(); c.Err != nil {
		return nil, c.Err
	}
	if c.entry.Places == engine.Reed && !c.Has("facing") {
		return nil, c.missing("facing")
	}
	return c.row(length(corners), func(place func(engine.Cell) error) error {
		seen := map[engine.Cell]bool{} // a path may cross itself
		return walk(corners, func(at engine.Cell) error {
			if len(corners) > 2 {
				if seen[at] {
					return nil
				}
				seen[at] = true
			}
			return place(at)
		})
	})
}

// PlaceWires places a wire in each of the cells, or none. Those of a row with a name are called by it and their number.
func (c *Call) PlaceWires(cells []engine.Cell, name string) (*Row, error) {
	c.part = engine.Part{Kind: engine.Wire, Name: name}
	return c.row(len(cells), func(place func(engine.Cell) error) error {
		for _, at := range cells {
			if err := place(at); err != nil {
				return err
			}
		}
		return nil
	})
}

// row places a part like c.part wherever walk places one, up to n of them, or none at all.
func (c *Call) row(n int, walk func(place func(engine.Cell) error) error) (*Row, error) {
	row := &Row{Bench: c.Env.Bench, name: c.part.Name}
	if c.Frame != nil && row.name != "" {
		row.name = c.Frame.Prefix(row.name)
	}
	before := c.Env.Before(n)
	base := c.part.Name
	err := walk(func(at engine.Cell) error {
		if err := c.Env.StoppedAt(len(row.ids)); err != nil {
			return c.Wrap(err)
		}
		c.part.Name = base
		if base != "" {
			c.part.Name = base + "." + strconv.Itoa(len(row.ids))
		}
		id := c.place(at)
		if c.Err == nil {
			row.ids = append(row.ids, id)
		}
		return c.Err
	})
	if err != nil && before != nil {
		c.Env.Bench.Restore(before)
		return nil, err
	}
	if err != nil {
		// All or nothing: placing and removing tell nobody, so taking them away again leaves no trace.
		for _, id := range slices.Backward(row.ids) {
			if err := c.Env.Bench.Remove(id); err != nil {
				return nil, fmt.Errorf("%w (and %v could not be taken away again: %v)", c.Err, id, err)
			}
		}
		return nil, err
	}
	return row, nil
}

func placeCell(c *Call) (starlark.Value, error) {
	if c.readPart(); c.Err != nil {
		return nil, c.Err
	}
	if !c.Has("at") {
		return c.shelve()
	}
	at := c.Cell("at")
	if c.Err != nil {
		return nil, c.Err
	}
	id := c.place(at)
	if c.Err != nil {
		return nil, c.Err
	}
	return Part{c.Env.Bench, id}, nil
}

// corners reads the ends of a row, or the corners of its path, and checks that it is straight between them.
func (c *Call) corners(isPath bool) ([]engine.Cell, error) {
	var corners []engine.Cell
	hint := ""
	if isPath {
		if c.Has("at") || c.Has("to") {
			return nil, c.Fail("path is given instead of at and to, not beside them")
		}
		it, ok := c.Value("path").(starlark.Iterable)
		if !ok {
			return nil, c.Bad("path", Show(c.Value("path")), "a list of cells such as [(0, 0), (0, 4), (3, 4)]")
		}
		iter := it.Iterate()
		defer iter.Done()
		var v starlark.Value
		for iter.Next(&v) {
			corners = append(corners, c.CellIn("path", v))
			c.Wrap(c.Env.StoppedAt(len(corners)))
			if c.Err != nil {
				return nil, c.Err
			}
		}
		if len(corners) == 0 {
			return nil, c.Bad("path", "an empty list", "at least one cell")
		}
	} else {
		if !c.Has("at") {
			return nil, c.Fail("missing argument at, want a cell: the first end of the row")
		}
		for _, end := range [...]string{"at", "to"} {
			switch v := c.Value(end).(type) {
			case Part, starlark.String:
				if c.entry.Places == engine.Wire {
					return nil, c.Bad(end, Show(v), "a cell (x, y) or (x, y, z); from part to part lay(...) finds a way")
				}
			}
		}
		corners = []engine.Cell{c.Cell("at"), c.Cell("to")}
	}
	for i := 1; i < len(corners) && c.Err == nil; i++ {
		if _, ok := straight(corners[i-1], corners[i]); !ok {
			if c.entry.Places == engine.Wire && !isPath {
				hint = fmt.Sprintf("; a bent row is wire(path=[...]), and lay(%v, %v) finds a way", corners[0], corners[1])
			}
			c.Fail("%v to %v is not a straight line%s", corners[i-1], corners[i], hint)
		}
	}
	return corners, c.Err
}

// straight returns the direction from a to b; any will do if they are the same.
func straight(a, b engine.Cell) (engine.Dir, bool) {
	d := b.Sub(a)
	sign := func(x int32) int32 { return min(max(x, -1), 1) }
	unit := engine.Cell{X: sign(d.X), Y: sign(d.Y), Z: sign(d.Z)}
	if unit == (engine.Cell{}) {
		return engine.PosX, true
	}
	return engine.DirOf(unit)
}

// length is how many cells lie on the way from corner to corner, at least one.
func length(corners []engine.Cell) int {
	n := 1
	for i := 1; i < len(corners); i++ {
		d := corners[i].Sub(corners[i-1])
		n += int(max(d.X, -d.X) + max(d.Y, -d.Y) + max(d.Z, -d.Z))
	}
	return n
}

// walk visits the cells from corner to corner, each corner once.
func walk(corners []engine.Cell, visit func(engine.Cell) error) error {
	at := corners[0]
	if err := visit(at); err != nil {
		return err
	}
	for _, to := range corners[1:] {
		d, _ := straight(at, to)
		for at != to {
			at = at.Add(d.Cell())
			if err := visit(at); err != nil {
				return err
			}
		}
	}
	return nil
}

// On is the same row on a bench where its parts have become others.
func (r *Row) On(b *engine.Bench, now func([]engine.ID) []engine.ID) *Row {
	return &Row{b, now(r.ids), r.name}
}

// Same reports whether two rows of alike benches are of the same parts and name.
func (r *Row) Same(o *Row) bool { return slices.Equal(r.ids, o.ids) && r.name == o.name }
