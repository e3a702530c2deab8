package engine_test

import "pulsewright/engine"

// ---- Space ----

// to returns the place n cells further; there is none from the shelf.
func (p place) to(d engine.Dir, n int32) (place, bool) {
	o := d.Cell()
	return place{cell: p.cell.Add(engine.Cell{X: o.X * n, Y: o.Y * n, Z: o.Z * n})}, p.shelf == 0
}

// around lists the six neighbours in neighbour order; on the shelf there are none.
func (m *model) around(p place) []place {
	if p.shelf != 0 {
		return nil
	}
	var ps []place
	for _, d := range m.orderOf(p) {
		q, _ := p.to(d, 1)
		ps = append(ps, q)
	}
	return ps
}

// partAt returns the part in a place, or nil.
func (m *model) partAt(at place) *modelPart {
	for _, p := range m.parts {
		if p != nil && p.at == at {
			return p
		}
	}
	return nil
}

// kindAt returns the kind of the part in a place; Bare if there is none.
func (m *model) kindAt(at place) engine.Kind {
	if p := m.partAt(at); p != nil {
		return p.Kind
	}
	return engine.Bare
}

// front and back report whether at is the place in front of or behind p.
func (p *modelPart) front(at place) bool { q, ok := p.at.to(p.Facing, 1); return ok && q == at }
func (p *modelPart) back(at place) bool {
	q, ok := p.at.to(p.Facing.Opposite(), 1)
	return ok && q == at
}

// seat returns where the slug of p sits, or is heading for if it is in transit.
func (p *modelPart) seat() (place, bool) {
	n := int32(1)
	if p.on {
		n = 2
	}
	at, ok := p.at.to(p.Facing, n)
	return at, ok && p.Kind == engine.Shuttle && p.Slug != engine.NoSlug
}

// seated returns the slug seated in a place, and awaited one in transit to it.
func (m *model) seated(at place) engine.Slug  { return m.slugAt(at, false) }
func (m *model) awaited(at place) engine.Slug { return m.slugAt(at, true) }

func (m *model) slugAt(at place, transit bool) engine.Slug {
	for _, p := range m.parts {
		if p == nil {
			continue
		}
		if s, ok := p.seat(); ok && s == at && p.transit == transit {
			return p.Slug
		}
		if s, ok := p.gripped(p.on); ok && transit && s == at && p.carries != engine.NoSlug {
			return p.carries
		}
	}
	if !transit {
		return m.loose[at]
	}
	return engine.NoSlug
}

// taken reports whether a seat has no room for a slug: a part other than a jack, or another slug.
func (m *model) taken(at place) bool {
	k := m.kindAt(at)
	return k != engine.Bare && k != engine.Jack || m.seated(at) != engine.NoSlug || m.awaited(at) != engine.NoSlug
}

// ---- Power ----

// feedsAround reports whether a place holds an all-round feed.
func (m *model) feedsAround(at place) bool {
	if m.forced[at] > 0 || m.seated(at) == engine.Feed {
		return true
	}
	p := m.partAt(at)
	if p != nil && p.Kind == engine.Told {
		return p.told.Feeds[p.state].What == engine.FeedsAround
	}
	return p != nil && modelKinds[p.Kind].feeds == around && (p.Kind == engine.Battery || p.on || len(p.tokens) > 0)
}

// feedsFront returns the level with which the part at from feeds the place in front of it, if that is to.
func (m *model) feedsFront(from, to place) int {
	p := m.partAt(from)
	if p == nil || !p.front(to) {
		return 0
	}
	switch {
	case p.Kind == engine.Told:
		f := p.told.Feeds[p.state]
		switch {
		case f.What != engine.FeedsFront:
			return 0
		case f.Level == 0:
			return m.rules.Reach
		}
		return min(f.Level, m.rules.Reach)
	case p.Kind == engine.Meter:
		return min(p.shows, m.rules.Reach)
	case modelKinds[p.Kind].feeds == front && p.on:
		return m.rules.Reach
	}
	return 0
}

// conducts reports whether a place holds a conductor.
func (m *model) conducts(at place) bool {
	switch m.kindAt(at) {
	case engine.Wire:
		return true
	case engine.Jack:
		return m.seated(at) == engine.NoSlug || m.seated(at) == engine.Bridge
	case engine.Told:
		p := m.partAt(at)
		return p.told.Conducts[p.state]
	case engine.Bare:
		return m.seated(at) == engine.Bridge
	}
	return false
}

// conductors lists the places that conduct, in the order first used.
func (m *model) conductors() []place {
	var cs []place
	for _, at := range m.used {
		if m.conducts(at) {
			cs = append(cs, at)
		}
	}
	return cs
}

// fed returns the level that feeds alone give a conductor.
func (m *model) fed(at place) int {
	if m.forced[at] > 0 {
		return m.rules.Reach
	}
	level := 0
	for _, q := range m.around(at) {
		if m.feedsAround(q) {
			return m.rules.Reach
		}
		level = max(level, m.feedsFront(q, at))
	}
	if p := m.partAt(at); p != nil {
		for _, k := range m.cords {
			if k.to == p.id && k.Power && m.carries(k) {
				return m.rules.Reach
			}
		}
	}
	return level
}

// levels returns the level of every conductor, with the cords as they are: what feeds give, then the
// highest neighbour less one, until nothing rises any more.
func (m *model) levels() map[place]int {
	cs, level := m.conductors(), map[place]int{}
	for _, at := range cs {
		level[at] = m.fed(at)
	}
	for rose := true; rose; {
		rose = false
		for _, at := range cs {
			for _, q := range m.around(at) {
				if level[q]-1 > level[at] {
					level[at], rose = level[q]-1, true
				}
			}
		}
	}
	return level
}

// settle settles the levels, in rounds: with the cords as they are, then every cord that starts at a
// conductor takes over whether that is live, all at once. It reports false if that does not end.
func (m *model) settle() bool {
	for range 2*len(m.cords) + 8 {
		m.level = m.levels()
		again := false
		for _, k := range m.cords {
			if from := m.parts[k.from]; from.Kind == engine.Wire || from.Kind == engine.Jack {
				live := m.level[from.at] > 0 || m.forced[from.at] > 0
				again = again || k.took != live
				k.took = live
			}
		}
		if !again {
			return true
		}
	}
	m.unsettled = true
	return false
}

// source reports what a cord from p reads.
func (m *model) source(p *modelPart) bool {
	if m.forced[p.at] > 0 {
		return true
	}
	switch p.Kind {
	case engine.Battery:
		return true
	case engine.Wire, engine.Jack:
		return m.level[p.at] > 0
	case engine.Bucket, engine.Tray:
		return len(p.tokens) > 0
	case engine.Meter:
		return p.shows > 0
	case engine.Told:
		return p.told.Active[p.state]
	}
	return p.on
}

// carries reports whether the end of a cord reads live through it.
func (m *model) carries(k *modelCord) bool {
	from := m.parts[k.from]
	if from.Kind == engine.Wire || from.Kind == engine.Jack {
		return k.took != k.Invert
	}
	return m.source(from) != k.Invert
}
