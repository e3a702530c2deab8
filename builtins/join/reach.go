package join

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// source is what feeds conductors: a part in its cell, a slug in a seat, or the part that a cord comes from, at the cord's end.
type source struct {
	id engine.ID
	at engine.Cell
}

// feed is a cell in which a source feeds a conductor, and at which level it does at most.
type feed struct {
	by    source
	cell  engine.Cell
	level int
}

// carry is how long a row can be, in cells; less than 1 if none can.
type carry struct {
	cells int
	by    source // whose power goes no further than that; none: what feeds the start, or the start itself
}

// most is the longest way at whose end there is power left for all of the net it leads to, whichever feed it comes from.
func (g *ground) most() carry {
	most := carry{cells: g.reach()} // a free cell is taken to be fed, and so is a net that nothing feeds yet
	if id := g.start.id; id != 0 {
		own := 0
		for d := range engine.Dir(6) {
			own = max(own, feeds(g.bench, id, d))
		}
		switch weakest, fed := g.weakest(); {
		case fed && (own == 0 || weakest.cells < own):
			most = weakest
		case own > 0:
			most.cells = own
		default:
			most.cells--
		}
	}
	most.cells -= g.depth()
	return most
}

// weakest finds the feed of the start's net whose power goes on behind the start for the fewest cells. ok is false if it has none.
func (g *ground) weakest() (weakest carry, ok bool) {
	if !g.conducts(g.start.cell) {
		return carry{}, false
	}
	off := g.net(g.start.cell)
	behind := map[source]int{}
	for _, f := range g.feeds {
		if n, joined := off[f.cell]; joined && f.by.id != g.start.id {
			level := f.level - n - 1
			if most, ok := behind[f.by]; !ok || level > most {
				behind[f.by] = level
			}
		}
	}
	for _, f := range g.feeds { // in this order: it must not be the map's
		if n, fed := behind[f.by]; fed && (!ok || n < weakest.cells) {
			weakest, ok = carry{n, f.by}, true
		}
	}
	return weakest, ok
}

// net gives the cells of a conductor's net, with how many cells off they lie.
func (g *ground) net(c engine.Cell) map[engine.Cell]int {
	off := map[engine.Cell]int{c: 0}
	line := []engine.Cell{c}
	for i := 0; i < len(line); i++ {
		for d := range engine.Dir(6) {
			n := line[i].Add(d.Cell())
			if _, seen := off[n]; !seen && g.conducts(n) {
				off[n] = off[line[i]] + 1
				line = append(line, n)
			}
		}
	}
	return off
}

// conducts reports whether there is a conductor in the cell, if only at times.
func (g *ground) conducts(c engine.Cell) bool {
	id, ok := g.bench.PartAt(c)
	return ok && g.bench.TraitOf(id).Conducts || g.bridges[c]
}

// depth is how far the net of the end goes on, in cells: the way must leave power enough for all of it.
func (g *ground) depth() int {
	if g.end.id == 0 || !g.conducts(g.end.cell) {
		return 0
	}
	depth := 0
	for _, off := range g.net(g.end.cell) {
		depth = max(depth, off+1)
	}
	return depth
}

// say says how far power goes on, and how much further it would have to.
func (m carry) say(g *ground, needed int) string {
	from, what := g.start.say(g.bench), "power"
	if m.by.id != 0 {
		what = "power of " + m.by.say(g.bench)
	}
	n := g.depth()
	goes, with := fmt.Sprintf("goes on for %s behind %s", say.Count(max(m.cells+n, 0), "cell"), from), ""
	if short := -(m.cells + n); short > 0 {
		goes = fmt.Sprintf("ends %s short of %s", say.Count(short, "cell"), from)
	}
	if n > 0 {
		with = fmt.Sprintf(" with %s and the %s behind it", g.end.say(g.bench), say.Count(n-1, "cell"))
	}
	return fmt.Sprintf("%s %s, %d too few%s (reach is %d); a repeater carries on", what, goes, needed-m.cells, with, g.reach())
}

// say names a source.
func (s source) say(b *engine.Bench) string {
	who := builtins.Describe(b, s.id)
	switch at, onLattice := b.CellOf(s.id); {
	case !onLattice:
		return fmt.Sprintf("the cord from %s", who)
	case b.KindOf(s.id) == engine.Bare || at == s.at && b.State(s.id).Loose:
		return fmt.Sprintf("the loose %v at %v", b.State(s.id).Seated, at)
	case at != s.at && b.KindOf(s.id) == engine.Shuttle && b.Thing(s.id).Slug == engine.Feed:
		return fmt.Sprintf("the slug at %v of %s", s.at, who)
	case at != s.at:
		return fmt.Sprintf("the cord from %s", who)
	}
	return who
}
