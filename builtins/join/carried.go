package join

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// joint is the net that comes about where two ports are joined: of the conductors of the bench and those of the design.
type joint struct {
	here, there *ground
	at          engine.Cell          // where the frame of the design comes to lie
	net         map[engine.Cell]bool // its cells
}

// carried refuses a place where the net that comes about goes beyond reach: a feed of one side must keep live all that the other adds.
func (d *draft) carried(c *builtins.Call, port mooring, at engine.Cell) error {
	c.Env.Inquiry.Want(builtins.AskedReach)
	j := &joint{here: survey(c.Env.Bench), there: survey(d.bench), at: at}
	stand := at.Add(d.cell)
	j.spread(port, stand)
	if len(j.net) == 0 {
		return nil
	}
	ours, theirs := j.sources(j.here, engine.Cell{}), j.sources(j.there, at)
	if len(ours)+len(theirs) == 0 && j.here.conducts(port.cell) {
		ours = []feed{{source{port.id, port.cell}, port.cell, j.here.reach()}} // nothing feeds it yet: it is taken to be fed
	}
	mine := func(cell engine.Cell) bool { return j.there.conducts(cell.Sub(at)) }
	own := func(cell engine.Cell) bool { return j.here.conducts(cell) }
	if d.id != 0 && !j.conducts(stand) && builtins.Takes(d.bench, d.id, back(port, stand)) {
		mine = func(cell engine.Cell) bool { return cell == port.cell } // who reads the port needs no more than that this is live
	}
	if port.id != 0 && !j.conducts(port.cell) && builtins.Takes(c.Env.Bench, port.id, back(mooring{cell: stand}, port.cell)) {
		own = func(cell engine.Cell) bool { return cell == stand }
	}
	if by, short, far := j.short(ours, mine); short > 0 {
		return c.Fail("power of %s would end %s short of %s (reach is %d)%s", by.say(c.Env.Bench), say.Count(short, "cell"), d.standing(c, far, at), j.here.reach(), onward)
	}
	if by, short, far := j.short(theirs, own); short > 0 {
		return c.Fail("power of %s of the design would end %s short of %s (reach is %d)%s", d.who(by.id), say.Count(short, "cell"), d.standing(c, far, at), j.here.reach(), onward)
	}
	return nil
}

const onward = "; a repeater carries on, or touch=True lets it lie there all the same"

// back is the side of a cell on which a mooring lies.
func back(m mooring, cell engine.Cell) engine.Dir {
	d, _ := engine.DirOf(m.cell.Sub(cell))
	return d
}

// survey looks for what feeds and what conducts on a bench.
func survey(b *engine.Bench) *ground {
	g := &ground{bench: b, within: -1}
	g.survey()
	return g
}

func (j *joint) conducts(cell engine.Cell) bool {
	return j.here.conducts(cell) || j.there.conducts(cell.Sub(j.at))
}

// spread finds the cells of the net: from the two ports on, and from what a port that does not conduct feeds.
func (j *joint) spread(port mooring, stand engine.Cell) {
	j.net = map[engine.Cell]bool{}
	var line []engine.Cell
	take := func(cell engine.Cell) {
		if !j.net[cell] && j.conducts(cell) {
			j.net[cell] = true
			line = append(line, cell)
		}
	}
	for _, cell := range []engine.Cell{port.cell, stand} {
		take(cell)
		if j.conducts(cell) {
			continue
		}
		for d := range engine.Dir(6) {
			n := cell.Add(d.Cell())
			if id, ok := j.here.bench.PartAt(cell); ok && feeds(j.here.bench, id, d) > 0 && j.there.conducts(n.Sub(j.at)) {
				take(n)
			}
			if id, ok := j.there.bench.PartAt(cell.Sub(j.at)); ok && feeds(j.there.bench, id, d) > 0 && j.here.conducts(n) {
				take(n)
			}
		}
	}
	for i := 0; i < len(line); i++ {
		for d := range engine.Dir(6) {
			take(line[i].Add(d.Cell()))
		}
	}
}

// sources are the feeds of one side that feed the net.
func (j *joint) sources(g *ground, at engine.Cell) (all []feed) {
	for _, f := range g.feeds {
		if f.cell = at.Add(f.cell); j.net[f.cell] {
			all = append(all, f)
		}
	}
	return all
}

// short finds the cell that the power of some source misses by most, among those that are to be live whichever source feeds the net, and by how
// many cells.
func (j *joint) short(feeds []feed, live func(engine.Cell) bool) (by source, short int, far engine.Cell) {
	done := map[source]bool{}
	for i, f := range feeds {
		if done[f.by] {
			continue
		}
		done[f.by] = true
		for cell, level := range j.levels(feeds[i:], f.by) {
			if n := 1 - level; live(cell) && (n > short || n == short && n > 0 && by == f.by && before(cell, far)) {
				by, short, far = f.by, n, cell
			}
		}
	}
	return by, short, far
}

// levels are those that one source alone gives the cells of the net; from 0 on they go on falling.
func (j *joint) levels(feeds []feed, by source) map[engine.Cell]int {
	level := map[engine.Cell]int{}
	var line []engine.Cell
	raise := func(cell engine.Cell, n int) {
		if was, ok := level[cell]; !ok || n > was {
			level[cell] = n
			line = append(line, cell)
		}
	}
	for _, f := range feeds {
		if f.by == by {
			raise(f.cell, f.level)
		}
	}
	for i := 0; i < len(line); i++ {
		for d := range engine.Dir(6) {
			if n := line[i].Add(d.Cell()); j.conducts(n) {
				raise(n, level[line[i]]-1)
			}
		}
	}
	return level
}

// before orders cells, so that of several as far off the same is named each time.
func before(a, b engine.Cell) bool {
	if a.X != b.X {
		return a.X < b.X
	}
	if a.Y != b.Y {
		return a.Y < b.Y
	}
	return a.Z < b.Z
}

// standing names what stands in a cell, of the bench or of the design.
func (d *draft) standing(c *builtins.Call, cell, at engine.Cell) string {
	if id, ok := d.bench.PartAt(cell.Sub(at)); ok {
		return fmt.Sprintf("%s of the design, at %v", d.who(id), cell)
	}
	if id, ok := c.Env.Bench.PartAt(cell); ok {
		return builtins.Describe(c.Env.Bench, id)
	}
	return fmt.Sprintf("a slug at %v", cell)
}
