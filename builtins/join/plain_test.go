package join_test

import (
	"slices"

	"pulsewright/engine"
)

// What a wire has to do with what stands about it, in the words of the medium, part for part. It asks the engine what stands where, and
// for nothing that follows from it.

// plain is a bench seen so, with the two ends of a row that is to be laid; an end of 0 is a free cell.
type plain struct {
	b          *engine.Bench
	things     []engine.Thing
	loose      map[engine.Cell]engine.Slug
	forced     []engine.Cell
	start, end engine.ID
	from, to   engine.Cell
	known      map[engine.Cell]bool
}

func plainly(b *engine.Bench) *plain {
	p := &plain{b: b, loose: map[engine.Cell]engine.Slug{}, known: map[engine.Cell]bool{}}
	cell := func(id engine.ID, at engine.Cell) {
		if st := b.State(id); st.Loose {
			p.loose[at] = st.Seated
		}
		if b.State(id).Forced {
			p.forced = append(p.forced, at)
		}
	}
	for id := range b.Parts() {
		if t := b.Thing(id); !t.Shelf {
			p.things = append(p.things, t)
			cell(id, t.Cell)
		}
	}
	for id := range b.BareCells() {
		at, _ := b.CellOf(id)
		cell(id, at)
	}
	return p
}

func sum(a, b engine.Cell) engine.Cell { return engine.Cell{X: a.X + b.X, Y: a.Y + b.Y, Z: a.Z + b.Z} }

func beside(a, b engine.Cell) bool {
	return slices.Contains(round, engine.Cell{X: a.X - b.X, Y: a.Y - b.Y, Z: a.Z - b.Z})
}

var round = []engine.Cell{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}

func front(t engine.Thing) engine.Cell { return sum(t.Cell, round[t.Facing]) }
func back(t engine.Thing) engine.Cell  { return sum(t.Cell, round[t.Facing^1]) }

// group reports whether a cell is in one of the groups of a told kind.
func group(t engine.Thing, g engine.Groups, c engine.Cell) bool {
	f := round[t.Facing]
	two := engine.Cell{X: 2 * f.X, Y: 2 * f.Y, Z: 2 * f.Z}
	switch {
	case !t.Spec.Faces:
		return g&engine.AroundCells != 0 && beside(t.Cell, c)
	case c == front(t):
		return g&engine.FrontCell != 0
	case c == back(t):
		return g&engine.BackCell != 0
	case c == sum(t.Cell, two):
		return g&engine.FarFrontCell != 0
	case t.Cell == sum(c, two):
		return g&engine.FarBackCell != 0
	}
	return g&engine.SideCells != 0 && beside(t.Cell, c)
}

// conducts: a wire, a jack, a part of a kind that does so in some state.
func conducts(t engine.Thing) bool {
	return t.Kind == engine.Wire || t.Kind == engine.Jack || t.Kind == engine.Told && slices.Contains(t.Spec.Conducts, true)
}

// feeds gives the level with which a part feeds the conductor in a cell at most, 0 if it never does.
func (p *plain) feeds(t engine.Thing, c engine.Cell) int {
	reach := p.b.Rules().Reach
	switch t.Kind {
	case engine.Battery, engine.Key, engine.Tray:
		if beside(t.Cell, c) {
			return reach
		}
	case engine.Delay, engine.Oneshot, engine.Echo, engine.Gate:
		if c == front(t) {
			return reach
		}
	case engine.Meter:
		if c != front(t) {
			return 0
		}
		for _, o := range p.things {
			if o.Cell == back(t) && o.Kind == engine.Bucket {
				return 1
			} else if o.Cell == back(t) && o.Kind == engine.Tray {
				return min(o.Room, reach)
			}
		}
		return reach // a holder may come
	case engine.Told:
		most := 0
		for _, f := range t.Spec.Feeds {
			switch {
			case f.What == engine.FeedsAround && beside(t.Cell, c), f.What == engine.FeedsFront && c == front(t) && f.Level == 0:
				most = reach
			case f.What == engine.FeedsFront && c == front(t):
				most = max(most, min(f.Level, reach))
			}
		}
		return most
	}
	return 0
}

// reads: the cell is a pad.
func reads(t engine.Thing, c engine.Cell) bool {
	if t.Pads != nil {
		return slices.ContainsFunc(t.Pads, func(off engine.Cell) bool { return c == sum(t.Cell, off) })
	}
	far := round[t.Facing^1]
	switch t.Kind {
	case engine.Lamp:
		return beside(t.Cell, c)
	case engine.Delay, engine.Oneshot, engine.Echo, engine.Meter:
		return c == back(t)
	case engine.Chute:
		return beside(t.Cell, c) && c != front(t) && c != back(t)
	case engine.Gate:
		return beside(t.Cell, c) && c != front(t)
	case engine.Told:
		return group(t, t.Spec.Pads, c)
	case engine.Bucket:
		far = engine.Cell{Z: -1}
	case engine.Shuttle, engine.Link, engine.Reed:
	default:
		return false
	}
	if t.FarSet {
		far = round[t.Far]
	}
	return beside(t.Cell, c) && c != front(t) || c == sum(sum(t.Cell, far), far)
}

// hears: what changes in the cell is news for the part.
func hears(t engine.Thing, c engine.Cell) bool {
	switch t.Kind {
	case engine.Battery, engine.Key, engine.Wire, engine.Jack, engine.Tray:
		return false
	case engine.Echo:
		return c == back(t)
	case engine.Told:
		return beside(t.Cell, c) && group(t, t.Spec.Hears, c)
	}
	return beside(t.Cell, c)
}

// begins reports whether a row may begin with a wire in c: the start feeds or joins it.
func (p *plain) begins(c engine.Cell) bool {
	if p.start == 0 {
		return c == p.from
	}
	t := p.b.Thing(p.start)
	return conducts(t) && beside(t.Cell, c) || p.feeds(t, c) > 0
}

// ends reports whether a row may end with a wire in c: the end reads or joins it. A meter reads tokens only.
func (p *plain) ends(c engine.Cell) bool {
	if p.end == 0 {
		return c == p.to
	}
	t := p.b.Thing(p.end)
	return beside(t.Cell, c) && (conducts(t) || t.Kind != engine.Meter && reads(t, c))
}

// clear reports whether a wire in c has to do with nothing but the two ends, and with these only as it should: the start feeds or
// joins it, and may hear it; the end reads or joins it, and hears it.
func (p *plain) clear(c engine.Cell) bool {
	is, asked := p.known[c]
	if !asked {
		is = p.asks(c)
		p.known[c] = is
	}
	return is
}

func (p *plain) asks(c engine.Cell) bool {
	for at, slug := range p.loose {
		mine := p.start != 0 && at == p.from || p.end != 0 && at == p.to // it sits in the jack that is an end
		if at == c || slug != engine.Plug && beside(at, c) && !mine {
			return false
		}
	}
	for _, at := range p.forced {
		if at == c || beside(at, c) && !(p.start != 0 && at == p.from && p.begins(c)) {
			return false
		}
	}
	for _, t := range p.things {
		if t.Pads == nil && steps(c.Sub(t.Cell)) > 3 {
			continue // beside a far seat is as far as anything goes
		}
		near := front(t)
		far := sum(near, round[t.Facing])
		slug := t.Kind == engine.Shuttle && (t.Slug != engine.NoSlug || t.Grip != engine.NoGrip)
		first, last := t.ID == p.start && p.begins(c), t.ID == p.end && p.ends(c)
		switch {
		case t.Cell == c:
		case slug && (c == near || c == far), slug && t.Slug != engine.Plug && (beside(near, c) || beside(far, c)):
		case p.feeds(t, c) > 0 && !first:
		case reads(t, c) && t.ID != p.end:
		case hears(t, c) && !first && !last:
		case conducts(t) && beside(t.Cell, c) && !first && !last:
		default:
			continue
		}
		return false
	}
	return true
}

// net is the cells that conduct, if only at times.
func (p *plain) net() map[engine.Cell]bool {
	net := map[engine.Cell]bool{}
	for _, t := range p.things {
		if conducts(t) {
			net[t.Cell] = true
		}
		if near := front(t); t.Kind == engine.Shuttle && (t.Slug == engine.Bridge || t.Grip != engine.NoGrip) {
			net[near], net[sum(near, round[t.Facing])] = true, true
		}
	}
	for at, slug := range p.loose {
		if slug == engine.Bridge {
			net[at] = true
		}
	}
	return net
}

// sources gives, for all that feeds conductors, part by part, seat by seat and cord by cord, the level with which it feeds one in a cell.
func (p *plain) sources() (all []func(engine.Cell) int) {
	reach := p.b.Rules().Reach
	around := func(of engine.Cell) {
		all = append(all, func(at engine.Cell) int {
			if beside(of, at) {
				return reach
			}
			return 0
		})
	}
	for _, t := range p.things {
		if t.ID != p.start {
			all = append(all, func(at engine.Cell) int { return p.feeds(t, at) })
		}
		if near := front(t); t.Kind == engine.Shuttle && t.Slug == engine.Feed {
			around(near)
			around(sum(near, round[t.Facing]))
		}
	}
	for of, slug := range p.loose {
		if slug == engine.Feed && !(p.start != 0 && of == p.from) {
			around(of)
		}
	}
	for _, cord := range p.b.Cords() {
		if to, on := p.b.CellOf(cord.To); on && cord.Power && cord.From != p.start {
			all = append(all, func(at engine.Cell) int {
				if at == to {
					return reach
				}
				return 0
			})
		}
	}
	return all
}

// levels are those of all conductors, wherever each is fed at such a level; below 0 they go on falling.
func (p *plain) levels(fed func(engine.Cell) int) map[engine.Cell]int {
	net, level := p.net(), map[engine.Cell]int{}
	for c := range net {
		if n := fed(c); n > 0 {
			level[c] = n
		}
	}
	for more := true; more; {
		more = false
		for c := range net {
			for _, d := range round {
				n, ok := level[sum(c, d)]
				if was, has := level[c]; ok && (!has || n-1 > was) {
					level[c], more = n-1, true
				}
			}
		}
	}
	return level
}

// least is the lowest level that the conductor in a cell has while only one of those that feed its net does; as if fed by hand if nothing
// ever feeds it.
func (p *plain) least(at engine.Cell) int {
	least, some := p.b.Rules().Reach, false
	for _, fed := range p.sources() {
		if level, ok := p.levels(fed)[at]; ok && (!some || level < least) {
			least, some = level, true
		}
	}
	return least
}

// depth is how many cells power goes through from a conductor on, itself too, to the last of its net.
func (p *plain) depth(at engine.Cell) (depth int) {
	net, far := p.net(), map[engine.Cell]int{at: 1}
	for more := true; more; {
		more = false
		for c := range net {
			for _, d := range round {
				if n, ok := far[sum(c, d)]; ok && (far[c] == 0 || n+1 < far[c]) {
					far[c], more = n+1, true
				}
			}
		}
	}
	for _, n := range far {
		depth = max(depth, n)
	}
	return depth
}

// most is how many wires a row can have at most, so that all of the net of its end is live when the start is.
func (p *plain) most() int {
	first := p.b.Rules().Reach // the level of the first wire
	if p.start != 0 {
		t := p.b.Thing(p.start)
		first = 0
		for _, d := range round {
			first = max(first, p.feeds(t, sum(t.Cell, d)))
		}
		if least := p.least(t.Cell) - 1; conducts(t) && (first == 0 || least < first) {
			first = least
		}
	}
	if p.end != 0 && conducts(p.b.Thing(p.end)) {
		return first - p.depth(p.to)
	}
	return first
}

// length is that of the shortest row of at most so many wires over clear cells of a box, by a breadth-first search as one writes it down;
// 0 if there is none.
func (p *plain) length(most int, inside func(engine.Cell) bool) int {
	seen := map[engine.Cell]bool{}
	var now []engine.Cell
	reach := func(list []engine.Cell, c engine.Cell) []engine.Cell {
		if seen[c] || !inside(c) || !p.clear(c) {
			return list
		}
		seen[c] = true
		return append(list, c)
	}
	if p.start == 0 {
		now = reach(nil, p.from)
	}
	for _, d := range round {
		if c := sum(p.from, d); p.start != 0 && p.begins(c) {
			now = reach(now, c)
		}
	}
	for n := 1; n <= most && len(now) > 0; n++ {
		var next []engine.Cell
		for _, at := range now {
			if p.ends(at) {
				return n
			}
			for _, d := range round {
				next = reach(next, sum(at, d))
			}
		}
		now = next
	}
	return 0
}
