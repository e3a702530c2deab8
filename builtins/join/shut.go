package join

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// touch is what a wire in a cell would do that it must not. The lower ones weigh more.
type touch uint8

const (
	stands  touch = iota // a part stands there
	slugged              // a slug that belongs to no shuttle sits there
	seated               // a slug of a shuttle sits there, or comes to sit
	joined               // it would be one net with a conductor
	fed                  // it would be fed
	read                 // it would be read, as a pad
	heard                // what changes in it would be heard
	bridged              // a bridge would join it, or a feed feed it, where a slug sits or comes to sit
)

// shut is why no wire may lie in a cell: what it would do to which part.
type shut struct {
	touch touch
	id    engine.ID
}

// say says it of a wire at c.
func (s shut) say(b *engine.Bench, c engine.Cell) string {
	who := builtins.Describe(b, s.id)
	if b.KindOf(s.id) == engine.Bare {
		at, _ := b.CellOf(s.id)
		if who = fmt.Sprintf("the forced cell %v", at); b.State(s.id).Loose {
			who = fmt.Sprintf("the loose %v at %v", b.State(s.id).Seated, at)
		}
	}
	switch s.touch {
	case slugged:
		return fmt.Sprintf("a loose %v sits at %v", b.State(s.id).Seated, c)
	case stands:
		return fmt.Sprintf("%s stands there", who)
	case seated:
		return fmt.Sprintf("%v is a seat of %s", c, who)
	case joined:
		return fmt.Sprintf("a wire at %v would join %s", c, who)
	case fed:
		return fmt.Sprintf("a wire at %v would be fed by %s", c, who)
	case read:
		return fmt.Sprintf("a wire at %v would be read by %s", c, who)
	case heard:
		return fmt.Sprintf("a wire at %v would be heard by %s", c, who)
	}
	return fmt.Sprintf("a wire at %v would touch a seat of %s", c, who)
}

// ground is what there is to know of a bench before wires are laid on it: which cells are shut, and where a conductor is fed.
type ground struct {
	bench      *engine.Bench
	start, end mooring
	within     int64 // only cells so near to the start are known, in steps from cell to cell
	shut       map[engine.Cell]shut
	feeds      []feed
	bridges    map[engine.Cell]bool // a conductor at times
}

// mooring is where a way begins or ends: a part, or a bare cell if id is 0.
type mooring struct {
	id   engine.ID
	cell engine.Cell
	open [6]bool // by direction: a wire in the neighbour there is joined to the part as it should be
}

// openTo reports whether a wire at c is joined to the part as it should be.
func (m *mooring) openTo(c engine.Cell) bool {
	d, next := engine.DirOf(c.Sub(m.cell))
	return next && m.id != 0 && m.open[d]
}

func (g *ground) far(c engine.Cell) bool {
	return steps(c.Sub(g.start.cell)) > g.within
}

// steps is how many cells, one beside the other, lead so far.
func steps(off engine.Cell) (n int64) {
	for _, x := range [3]int32{off.X, off.Y, off.Z} {
		n += max(int64(x), -int64(x))
	}
	return n
}

func (g *ground) put(c engine.Cell, t touch, id engine.ID) {
	if g.far(c) {
		return
	}
	if was, ok := g.shut[c]; !ok || t < was.touch {
		g.shut[c] = shut{t, id}
	}
}

// survey looks at all parts and cells of the bench.
func (g *ground) survey() {
	g.shut, g.feeds, g.bridges = map[engine.Cell]shut{}, nil, map[engine.Cell]bool{}
	for id := range g.bench.Parts() {
		if c, onLattice := g.bench.CellOf(id); onLattice {
			g.part(id, c)
		}
	}
	for id := range g.bench.BareCells() {
		c, _ := g.bench.CellOf(id)
		if g.bench.State(id).Forced {
			g.forced(id, c)
		}
		g.loose(id, c)
	}
	for _, cord := range g.bench.Cords() {
		if c, onLattice := g.bench.CellOf(cord.To); onLattice && cord.Power {
			g.feed(source{cord.From, c}, c, g.reach())
		}
	}
}

func (g *ground) reach() int { return g.bench.Rules().Reach }

// feed notes that a conductor in a cell is fed, if it is.
func (g *ground) feed(by source, c engine.Cell, level int) {
	if level > 0 {
		g.feeds = append(g.feeds, feed{by, c, level})
	}
}

// part shuts the cells in which a wire would have to do with a part.
func (g *ground) part(id engine.ID, c engine.Cell) {
	b, t := g.bench, g.bench.TraitOf(id)
	g.put(c, stands, id)
	facing := b.Thing(id).Facing
	for d := range engine.Dir(6) {
		n := c.Add(d.Cell())
		level := feeds(b, id, d)
		g.feed(source{id, c}, n, level)
		if id == g.start.id && g.start.openTo(n) {
			continue
		}
		mine := id == g.end.id && g.end.openTo(n)
		if t.Conducts && !mine {
			g.put(n, joined, id)
		}
		if level > 0 {
			g.put(n, fed, id)
		}
		if hears(b, id, d) && !mine {
			g.put(n, heard, id)
		}
	}
	if id != g.end.id {
		for _, n := range b.PadCells(id) {
			g.put(n, read, id)
		}
	}
	if b.KindOf(id) == engine.Shuttle {
		g.seats(id, c, facing)
	}
	if b.State(id).Forced {
		g.forced(id, c)
	}
	g.loose(id, c)
}

// loose shuts what a slug that belongs to no shuttle has to do with. In the jack that is an end it is that end's.
func (g *ground) loose(id engine.ID, c engine.Cell) {
	st := g.bench.State(id)
	if !st.Loose {
		return
	}
	g.put(c, slugged, id)
	mine := id == g.start.id || id == g.end.id
	for d := range engine.Dir(6) {
		n := c.Add(d.Cell())
		if st.Seated == engine.Feed {
			g.feed(source{id, c}, n, g.reach())
			if !mine {
				g.put(n, fed, id)
			}
		}
		if st.Seated == engine.Bridge {
			g.bridges[c] = true
			if !mine {
				g.put(n, joined, id)
			}
		}
	}
}

// seats shuts the two seats of a shuttle, and the cells about them if its slug feeds or conducts. A slug that is under way may come to
// either.
func (g *ground) seats(id engine.ID, c engine.Cell, facing engine.Dir) {
	t := g.bench.Thing(id)
	slug := t.Slug
	for range 2 {
		if c = c.Add(facing.Cell()); slug == engine.NoSlug && t.Grip == engine.NoGrip {
			continue
		}
		g.put(c, seated, id)
		if slug == engine.Plug {
			continue
		}
		g.bridges[c] = g.bridges[c] || slug == engine.Bridge || t.Grip != engine.NoGrip
		for d := range engine.Dir(6) {
			n := c.Add(d.Cell())
			g.put(n, bridged, id)
			if slug == engine.Feed {
				g.feed(source{id, c}, n, g.reach())
			}
		}
	}
}

// forced shuts the cells about one that a stimulus forces.
func (g *ground) forced(id engine.ID, c engine.Cell) {
	g.put(c, stands, id)
	for d := range engine.Dir(6) {
		if n := c.Add(d.Cell()); !(id == g.start.id && g.start.openTo(n)) {
			g.put(n, fed, id)
		}
	}
}
