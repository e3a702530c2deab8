package engine_test

import (
	"slices"

	"pulsewright/engine"
)

// Loose slugs, and the shuttles that move them.

// travel is how long a slug that p moves is in transit.
func (m *model) travel(p *modelPart) int {
	if p.Travel != 0 {
		return p.Travel
	}
	return m.rules.Travel
}

// gripped is the seat that a shuttle with a grip reaches: the far one if far, else the near one.
func (p *modelPart) gripped(far bool) (place, bool) {
	at, ok := p.at.to(p.Facing, 1)
	if far {
		at, ok = p.at.to(p.Facing, 2)
	}
	return at, ok && p.Kind == engine.Shuttle && p.Grip != engine.NoGrip
}

// grips is the act of a shuttle with a grip.
func (m *model) grips(p *modelPart, cause int) {
	if p.carries != engine.NoSlug { // told in transit: it lets go, and flips alone
		m.timers = slices.DeleteFunc(m.timers, func(t *modelTimer) bool { return t.job == due && t.part == p.id })
		m.putsDown(p, cause)
		p.on = !p.on
		m.change(p.at, m.event(p.at, word(p.on, engine.Out, engine.Home), 0, cause))
		return
	}
	from, _ := p.gripped(p.on)
	to, _ := p.gripped(!p.on)
	slug := m.loose[from]
	if p.on && p.Grip == engine.Push {
		slug = engine.NoSlug
	}
	if slug != engine.NoSlug && m.taken(to) {
		m.count.Lapses++
		m.event(p.at, engine.Blocked, 0, cause)
		return
	}
	event := m.event(p.at, word(!p.on, engine.Out, engine.Home), int(slug), cause)
	if slug != engine.NoSlug {
		delete(m.loose, from)
		m.setTimer(p, m.travel(p), false, event)
		m.change(from, event) // a cord from p takes over its state with the second change
		p.carries, p.transit = slug, true
	}
	p.on = !p.on
	m.change(p.at, event)
}

// putsDown has what a shuttle carries land.
func (m *model) putsDown(p *modelPart, cause int, more ...int) {
	event := m.event(p.at, engine.Lands, int(p.carries), cause)
	seat, _ := p.gripped(p.on)
	m.loose[seat] = p.carries
	p.carries, p.transit = engine.NoSlug, false
	m.change(seat, event, more...)
}

// putSlug puts a loose slug into a place, or takes it away.
func (m *model) putSlug(at place, what engine.Slug) error {
	return m.edit(func() bool {
		if what == engine.NoSlug {
			_, ok := m.loose[at]
			delete(m.loose, at)
			return ok
		}
		if m.taken(at) {
			return false
		}
		m.use(at)
		m.loose[at] = what
		return true
	})
}
