package sketch

import (
	"strings"

	"pulsewright/engine"
)

// Given is one entry of a legend: of all parts of a kind, of those with a mark, or of those in some cells.
type Given struct {
	Sign     string // a kind's name or letter, or a mark; "" if Cells say where
	Cells    []engine.Cell
	Settings []Setting
	At       Place
}

// frameNames names parts as a frame does whose name is this: by their kind and cell in it.
type frameNames struct {
	name   string
	origin engine.Cell
	axes   [3]engine.Dir
	lo, hi engine.Cell
	at     Place
}

// legend applies all entries: those of kinds first, then those of marks, then those of cells, then names.
func (r *reader) legend(given []Given) error {
	entries, frames, cords, err := r.parseBelow()
	if err != nil {
		return err
	}
	entries = append(entries, given...)
	used := map[rune]bool{}
	for rank := range 3 {
		for i := range entries {
			if g := &entries[i]; r.rank(g) == rank {
				if err := r.enter(g, used); err != nil {
					return err
				}
			}
		}
	}
	for c, at := range r.own {
		if !used[c] {
			return wrong(at, "the mark %q, of which the legend says nothing, want an entry such as %c: ticks=3", c, c)
		}
	}
	for _, tiles := range [][]Tile{r.plan.Tiles, r.plan.Shelf} {
		for i := range tiles {
			if err := tiles[i].settle(); err != nil {
				return err
			}
		}
	}
	for i := range frames {
		frames[i].nameAll(r.plan.Tiles)
	}
	if err := r.finish(); err != nil {
		return err
	}
	return r.cords(cords)
}

// rank is which entries come first.
func (r *reader) rank(g *Given) int {
	switch {
	case g.Sign == "":
		return 2
	case g.kind() != engine.Bare || r.isOwnKind(g.Sign):
		return 0
	}
	return 1
}

// kind is the kind an entry is about; Bare if it is about something else.
func (g *Given) kind() engine.Kind {
	if k, ok := engine.ParseKind(g.Sign); ok {
		return k
	}
	if s := []rune(g.Sign); len(s) == 1 {
		if k, _, ok := kindOf(s[0]); ok {
			return k
		}
		if isNode(s[0]) {
			return engine.Wire
		}
	}
	return engine.Bare
}

// isOwnKind reports whether a sign is the name or the letter of a kind of a script's own.
func (r *reader) isOwnKind(sign string) bool {
	return (&own{among: r.kinds}).is(sign)
}

// enter makes the settings of one entry.
func (r *reader) enter(g *Given, used map[rune]bool) error {
	found := false
	set := func(t *Tile) error {
		found = true
		for _, s := range g.Settings {
			if err := t.apply(s); err != nil {
				return err
			}
		}
		return nil
	}
	if g.Sign == "" {
		for _, c := range g.Cells {
			i, ok := r.at(c)
			if !ok {
				return wrong(g.At, "the cell %v, in which nothing is drawn", c)
			}
			if err := set(&r.plan.Tiles[i]); err != nil {
				return err
			}
		}
		return nil
	}
	kind, mark, own := g.kind(), rune(0), r.isOwnKind(g.Sign)
	if s := []rune(g.Sign); kind == engine.Bare && !own {
		if len(s) != 1 || !isOwn(s[0]) {
			return wrong(g.At, "%q in the legend, want a kind of part or its letter, a mark, or a cell", g.Sign)
		}
		mark = s[0]
		used[mark] = true
	}
	for i := range r.plan.Tiles {
		if t := &r.plan.Tiles[i]; kind != engine.Bare && t.Kind == kind || own && t.own.is(g.Sign) || mark != 0 && t.Mark == mark {
			if err := set(t); err != nil {
				return err
			}
		}
	}
	if !found {
		return wrong(g.At, "%q in the legend, but the drawing has none", g.Sign)
	}
	return nil
}

// at finds the tile in a cell.
func (r *reader) at(c engine.Cell) (int, bool) {
	if r.of == nil {
		r.of = r.plan.Index()
	}
	i, ok := r.of[c]
	return i, ok
}

// Index gives the number of the tile in each cell.
func (p *Plan) Index() map[engine.Cell]int {
	of := make(map[engine.Cell]int, len(p.Tiles))
	for i := range p.Tiles {
		of[p.Tiles[i].Cell] = i
	}
	return of
}

// finish fills in what follows from the rest, and looks for what nobody has said.
func (r *reader) finish() error {
	of := map[string]Place{}
	for _, tiles := range [][]Tile{r.plan.Tiles, r.plan.Shelf} {
		for i := range tiles {
			t := &tiles[i]
			if t.Kind == engine.Gate && !t.said {
				return wrong(t.At, "a gate, want the legend to say what it computes, such as g: op=\"xor\"")
			}
			if t.many {
				return wrong(t.At, "more than 9 of a %v, want the legend to say how many", t.Kind)
			}
			if t.Kind == engine.Tray && t.Room == 0 {
				t.Room = max(t.Tokens, 1)
			}
			if t.Name != "" {
				if at, taken := of[t.Name]; taken {
					return wrong(t.At, "the name %q, which the part at %v has, too; no two parts of a bench share one", t.Name, at)
				}
				of[t.Name] = t.At
			}
		}
	}
	return nil
}

// nameAll names the parts of a box that have no name.
func (f *frameNames) nameAll(tiles []Tile) {
	for i := range tiles {
		t := &tiles[i]
		c := t.Cell
		if t.Name == "" && f.lo.X <= c.X && c.X <= f.hi.X && f.lo.Y <= c.Y && c.Y <= f.hi.Y && f.lo.Z <= c.Z && c.Z <= f.hi.Z {
			t.Name = f.of(kindName(&t.Part), c)
		}
	}
}

// of is what the frame calls an unnamed part of a kind in a cell.
func (f *frameNames) of(kind string, c engine.Cell) string {
	c = c.Sub(f.origin)
	var n [3]int32
	for i, d := range f.axes {
		d := d.Cell()
		n[i] = c.X*d.X + c.Y*d.Y + c.Z*d.Z
	}
	cell := engine.Cell{X: n[0], Y: n[1], Z: n[2]}.String()
	return f.name + "." + kind + strings.ReplaceAll(cell, " ", "")
}

// cords joins what the legend joins.
func (r *reader) cords(lines []cordLine) error {
	end := func(e endText) (End, error) {
		if e.shelf > 0 {
			if e.shelf > len(r.plan.Shelf) {
				return 0, wrong(e.at, "the part #%d of the shelf, of which the legend has %d", e.shelf, len(r.plan.Shelf))
			}
			return End(-e.shelf), nil
		}
		i, ok := r.at(e.cell)
		if !ok {
			return 0, wrong(e.at, "the cell %v, in which nothing is drawn", e.cell)
		}
		return End(i), nil
	}
	for _, l := range lines {
		from, err := end(l.from)
		if err != nil {
			return err
		}
		if l.first {
			r.plan.First = append(r.plan.First, from)
			continue
		}
		to, err := end(l.to)
		if err != nil {
			return err
		}
		r.plan.Cords = append(r.plan.Cords, Cord{From: from, To: to, Cord: l.Cord, At: l.from.at})
	}
	return nil
}
