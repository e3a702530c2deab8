package join

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// body is what has to do with its neighbours: a part, or the slug that sits in a cell or comes to sit there.
type body struct {
	id   engine.ID
	cell engine.Cell // of the world
	slug bool
	sits engine.Slug // slug: which; with grip any
	grip bool
}

// side is one of the two that are joined: the bench, or the draft of the design, which will lie at an offset.
type side struct {
	bench  *engine.Bench
	at     engine.Cell
	bodies []body
	in     map[engine.Cell][]int // the bodies in a cell, by number
}

// newSide finds all that stands or sits in the cells that hold. A part that reads other cells than its kind does is among them wherever it stands.
func newSide(b *engine.Bench, at engine.Cell, hold func(engine.Cell) bool) *side {
	s := &side{bench: b, at: at, in: map[engine.Cell][]int{}}
	add := func(o body) {
		s.in[o.cell] = append(s.in[o.cell], len(s.bodies))
		s.bodies = append(s.bodies, o)
	}
	loose := func(id engine.ID, cell engine.Cell) {
		if st := b.State(id); st.Loose && hold(cell) {
			add(body{id: id, cell: cell, slug: true, sits: st.Seated})
		}
	}
	for id := range b.Parts() {
		cell, onLattice := b.CellOf(id)
		if !onLattice {
			continue
		}
		cell = at.Add(cell)
		if hold(cell) || b.Thing(id).Pads != nil {
			add(body{id: id, cell: cell})
		}
		loose(id, cell)
		for _, seat := range seats(b, id) {
			if seat = at.Add(seat); hold(seat) {
				t := b.Thing(id)
				add(body{id: id, cell: seat, slug: true, sits: t.Slug, grip: t.Grip != engine.NoGrip})
			}
		}
	}
	for id := range b.BareCells() {
		cell, _ := b.CellOf(id)
		loose(id, at.Add(cell))
	}
	return s
}

func (s *side) conducts(o body) bool {
	if o.slug {
		return o.sits == engine.Bridge || o.grip
	}
	return s.bench.TraitOf(o.id).Conducts
}

func (s *side) feeds(o body, d engine.Dir) bool {
	if o.slug {
		return o.sits == engine.Feed || o.grip
	}
	return feeds(s.bench, o.id, d) > 0
}

func (s *side) around(o body) bool {
	return o.slug && s.feeds(o, 0) || !o.slug && s.bench.TraitOf(o.id).Feeds == engine.FeedsAround
}

func (s *side) hears(o body, d engine.Dir) bool { return !o.slug && hears(s.bench, o.id, d) }

func (s *side) tells(o body) bool {
	if o.slug {
		return !s.bench.State(o.id).Loose
	}
	return s.bench.TraitOf(o.id).Tells
}

// reads reports whether a part reads, as a pad, the cell of another that may give power there.
func (s *side) reads(o body, of *side, p body) bool {
	if o.slug || !slices.Contains(s.bench.PadCells(o.id), p.cell.Sub(s.at)) {
		return false
	}
	d, next := engine.DirOf(o.cell.Sub(p.cell))
	return of.conducts(p) || of.around(p) || next && of.feeds(p, d)
}

// tokens reports whether a part watches or moves the tokens of another: those behind a meter, at either end of a chute, in front of a bucket or
// under it.
func (s *side) tokens(o body, of *side, p body) bool {
	d, next := engine.DirOf(p.cell.Sub(o.cell))
	if o.slug || p.slug || !next || !of.bench.TraitOf(p.id).Shows.Holds() {
		return false
	}
	facing := s.bench.Thing(o.id).Facing
	switch s.bench.KindOf(o.id) {
	case engine.Meter:
		return d == facing.Opposite()
	case engine.Chute:
		return d == facing || d == facing.Opposite()
	case engine.Bucket:
		return d == facing || d == engine.NegZ
	}
	return false
}

// opens reports whether a slug comes into a jack, which it opens.
func (s *side) opens(o body, of *side, p body) bool {
	return o.slug && !p.slug && o.cell == p.cell && of.bench.KindOf(p.id) == engine.Jack
}

// does says what a body does to one of the other side, that it must not; "" if nothing.
func (s *side) does(o body, of *side, p body) string {
	d, next := engine.DirOf(p.cell.Sub(o.cell))
	switch {
	case next && s.conducts(o) && of.conducts(p):
		return "join"
	case next && s.feeds(o, d) && of.conducts(p):
		return "feed"
	case s.tokens(o, of, p):
		return "share tokens with"
	case s.reads(o, of, p):
		return "read"
	case s.opens(o, of, p):
		return "open"
	case next && s.hears(o, d) && of.tells(p):
		return "hear"
	}
	return ""
}

// apart refuses a place where the design and the bench touch elsewhere than at the two ports: where anything of one joins, feeds, reads or
// hears anything of the other.
func (d *draft) apart(c *builtins.Call, port mooring, at engine.Cell) error {
	mine := newSide(d.bench, at, func(engine.Cell) bool { return true })
	near := map[engine.Cell]bool{} // where something of the bench may be touched by the design, or touch it by the pads of its kind
	for _, o := range mine.bodies {
		for a := range engine.Dir(6) {
			n := o.cell.Add(a.Cell())
			near[o.cell], near[n], near[n.Add(a.Cell())] = true, true, true
		}
		if !o.slug {
			for _, pad := range d.bench.PadCells(o.id) {
				near[at.Add(pad)] = true
			}
		}
	}
	theirs := newSide(c.Env.Bench, engine.Cell{}, func(cell engine.Cell) bool { return near[cell] })
	meant := func(o, p body) bool { // o of the design, p of the bench
		switch {
		case d.id != 0 && port.id != 0:
			return o.id == d.id && p.id == port.id
		case port.id != 0:
			return p.id == port.id // it stands in the cell that the design keeps free for it
		}
		return d.id != 0 && o.id == d.id
	}
	var found []string
	for _, o := range mine.bodies {
		for _, p := range mine.about(o, theirs) {
			if meant(o, p) {
				continue
			}
			who, whom := fmt.Sprintf("%s of the design, at %v", d.who(o.id), at.Add(d.cellOf(o.id))), builtins.Describe(c.Env.Bench, p.id)
			text := ""
			if did := mine.does(o, theirs, p); did == "read" && p.id == port.id && mine.alike(o, at.Add(d.cell), port.cell) && d.oneNet(theirs, port) {
				continue
			} else if did != "" {
				text = fmt.Sprintf("%s, would %s %s", who, did, whom)
			} else if did := theirs.does(p, mine, o); did == "read" && o.id == d.id && theirs.alike(p, port.cell, at.Add(d.cell)) && d.oneNet(theirs, port) {
				continue
			} else if did != "" {
				text = fmt.Sprintf("%s would %s %s", whom, did, strings.Replace(who, ", at", " at", 1))
			}
			if text != "" && !slices.Contains(found, text) {
				found = append(found, text)
			}
		}
	}
	if len(found) == 0 {
		return nil
	}
	more := ""
	if n := len(found) - 3; n > 0 {
		found, more = found[:3], fmt.Sprintf("; and %d more", n)
	}
	return c.Fail("they would touch elsewhere than at the ports: %s%s; want room between them: another orientation (x, y, mirror), another port or another layer; or touch=True, if it is meant", strings.Join(found, "; "), more)
}

// alike reports whether a part that reads a port of the other side by its far pad, where it hears nothing, finds there what it finds at the port of
// its own side: for it the two are one, where they are one net.
func (s *side) alike(o body, own, other engine.Cell) bool {
	if k := s.bench.KindOf(o.id); o.slug || k == engine.Gate || k == engine.Told {
		return false // to these two inputs are not one
	}
	d, next := engine.DirOf(other.Sub(o.cell))
	return slices.Contains(s.bench.PadCells(o.id), own.Sub(s.at)) && !(next && s.hears(o, d))
}

// oneNet reports whether the two ports are parts that conduct.
func (d *draft) oneNet(theirs *side, port mooring) bool {
	return d.id != 0 && port.id != 0 && d.bench.TraitOf(d.id).Conducts && theirs.bench.TraitOf(port.id).Conducts
}

// about gives the bodies of the other side that one may have to do with: those in its cell, beside it, on its pads, and whoever has it on theirs.
func (s *side) about(o body, of *side) (all []body) {
	seen := map[int]bool{}
	take := func(cell engine.Cell) {
		for _, i := range of.in[cell] {
			if !seen[i] {
				seen[i] = true
				all = append(all, of.bodies[i])
			}
		}
	}
	take(o.cell)
	for a := range engine.Dir(6) {
		n := o.cell.Add(a.Cell())
		take(n)
		take(n.Add(a.Cell())) // it may have a far pad here
	}
	if !o.slug {
		for _, pad := range s.bench.PadCells(o.id) {
			take(s.at.Add(pad))
		}
	}
	for i, p := range of.bodies {
		if !p.slug && !seen[i] && of.bench.Thing(p.id).Pads != nil && slices.Contains(of.bench.PadCells(p.id), o.cell.Sub(of.at)) {
			seen[i] = true
			all = append(all, p)
		}
	}
	return all
}

// cellOf is the cell of a part of the design, in a frame at (0, 0, 0), or the cell itself.
func (d *draft) cellOf(id engine.ID) engine.Cell {
	cell, _ := d.bench.CellOf(id)
	return cell
}
