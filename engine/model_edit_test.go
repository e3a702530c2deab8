package engine_test

import (
	"errors"
	"slices"

	"pulsewright/engine"
)

var errRefused = errors.New("refused by the model")

// edit makes an edit and settles the levels silently; it takes it back if it is refused or they never settle.
func (m *model) edit(do func() bool) error {
	before := m.clone()
	if !do() || !m.settle() {
		*m = *before
		return errRefused
	}
	return nil
}

// use notes the first use of a place.
func (m *model) use(at place) {
	if !slices.Contains(m.used, at) {
		m.used = append(m.used, at)
	}
}

// place puts a part on the lattice, shelve on the shelf. Both return its number.
func (m *model) place(at engine.Cell, spec engine.Part) (id int, err error) {
	return m.put(place{cell: at}, spec)
}

func (m *model) shelve(spec engine.Part) (id int, err error) {
	return m.put(place{shelf: len(m.parts)}, spec)
}

func (m *model) put(at place, spec engine.Part) (id int, err error) {
	err = m.edit(func() bool {
		holdsSlug := m.seated(at) != engine.NoSlug || m.awaited(at) != engine.NoSlug
		if m.partAt(at) != nil || holdsSlug && spec.Kind != engine.Jack || at.shelf != 0 && (spec.Slug != engine.NoSlug || spec.Grip != engine.NoGrip) {
			return false
		}
		p := &modelPart{Part: withDefaults(spec), at: at, on: spec.On || spec.Out, shows: spec.Level, ready: !spec.On}
		p.last = p.on
		if p.Kind == engine.Told {
			p.told, p.state = sameKind(p.Spec), p.State
		}
		if seat, ok := p.seat(); ok && m.taken(seat) {
			return false
		}
		p.id = len(m.parts)
		m.parts = append(m.parts, p)
		m.use(at)
		for n := int32(1); n <= 2 && p.Kind == engine.Shuttle && (p.Slug != engine.NoSlug || p.Grip != engine.NoGrip) && at.shelf == 0; n++ {
			seat, _ := at.to(p.Facing, n)
			m.use(seat)
		}
		m.pour(p, spec.Tokens)
		m.poseOn(p)
		return true
	})
	return len(m.parts) - 1, err
}

// withDefaults fills in what a zero stands for.
func withDefaults(p engine.Part) engine.Part {
	if p.Ticks == 0 {
		p.Ticks = modelKinds[p.Kind].ticks
	}
	if p.Reject == 0 {
		p.Reject = p.Ticks
	}
	if p.Drop == 0 {
		p.Drop = 1
	}
	if p.Room == 0 || p.Kind == engine.Bucket {
		p.Room = 1
	}
	return p
}

// pour poses n tokens in a holder; what keeps them counts from now.
func (m *model) pour(p *modelPart, n int) {
	for _, timer := range p.tokens {
		m.cancelTimer(timer)
	}
	p.tokens = nil
	for range n {
		p.tokens = append(p.tokens, m.keepTimer(p, 0))
	}
}

func (m *model) fill(id, tokens int) error {
	return m.edit(func() bool {
		p := m.parts[id]
		if p == nil || p.Kind != engine.Bucket && p.Kind != engine.Tray || tokens > p.Room {
			return false
		}
		m.pour(p, tokens)
		return true
	})
}

// remove takes a part away, with its cords, its slug, its act and its timers. Stimuli find nothing to do.
func (m *model) remove(id int) error {
	return m.edit(func() bool {
		p := m.parts[id]
		if p == nil {
			return false
		}
		m.parts[id] = nil
		m.cords = slices.DeleteFunc(m.cords, func(k *modelCord) bool { return k.from == id || k.to == id })
		m.timers = slices.DeleteFunc(m.timers, func(t *modelTimer) bool { return (t.job == due || t.job == then) && t.part == id })
		m.acts = slices.DeleteFunc(m.acts, func(a *modelAct) bool { return a.part == id })
		m.news = slices.DeleteFunc(m.news, func(n modelNews) bool { return n.hearer == id })
		if p.at.shelf != 0 {
			delete(m.forced, p.at)
		}
		return true
	})
}

// patch makes a cord. A chute has nothing to read; its end must hear or conduct.
func (m *model) patch(from, to int, c engine.Cord) error {
	return m.edit(func() bool {
		a, b := m.parts[from], m.parts[to]
		if a == nil || b == nil || a.Kind == engine.Chute || !c.Power && !c.News {
			return false
		}
		if !hears(b.Kind) && b.Kind != engine.Wire && b.Kind != engine.Jack {
			return false
		}
		if b.Kind == engine.Told && !m.takesCord(b, c) {
			return false
		}
		m.cords = append(m.cords, &modelCord{c, from, to, m.source(a)})
		return true
	})
}

func (m *model) unpatch(from, to int) error {
	return m.edit(func() bool {
		m.cords = slices.DeleteFunc(m.cords, func(k *modelCord) bool { return k.from == from && k.to == to })
		return true
	})
}

func (m *model) setRules(r engine.Rules) error {
	return m.edit(func() bool {
		m.rules = r
		return true
	})
}

// ---- Stimuli: at is a tick later than now; 0 means the next ----

func (m *model) stimulus(t modelTimer, at int64) error {
	if at == 0 {
		at = m.tick + 1
	}
	if at <= m.tick {
		return errRefused
	}
	m.given++
	t.number, t.tick = m.given, at
	m.timers = append(m.timers, &t)
	return nil
}

func (m *model) press(id int, at int64) error   { return m.stimulateKey(press, id, at) }
func (m *model) release(id int, at int64) error { return m.stimulateKey(release, id, at) }

func (m *model) stimulateKey(j job, id int, at int64) error {
	if p := m.parts[id]; p == nil || p.Kind != engine.Key {
		return errRefused
	}
	return m.stimulus(modelTimer{job: j, at: m.parts[id].at}, at)
}

// fire forces a place: from step 0 of a tick, for so many ticks plus so many steps.
func (m *model) fire(at place, f engine.Firing) error {
	fall := modelFall{tick: f.At + int64(f.Ticks), step: f.Steps, late: f.Late, at: at}
	if f.At == 0 {
		fall.tick += m.tick + 1
	}
	var err error
	if f.Ticks == 0 && f.Steps == 0 {
		err = m.stimulus(modelTimer{job: rise, at: at, fall: &fall}, f.At)
	} else if err = m.stimulus(modelTimer{job: rise, at: at}, f.At); err == nil {
		fall.number = m.given
		m.falls = append(m.falls, fall)
	}
	if err == nil {
		m.use(at)
	}
	return err
}

func (m *model) nudge(at place, around bool, when int64) error {
	err := m.stimulus(modelTimer{job: nudge, at: at, value: around}, when)
	if err == nil {
		m.use(at)
	}
	return err
}

// ---- What there is to see ----

// state is what engine.State says, as far as the medium defines it for the kind.
func (m *model) state(at place) engine.State {
	s := engine.State{Forced: m.forced[at] > 0, Seated: m.seated(at), Awaits: m.awaited(at) != engine.NoSlug, Loose: m.loose[at] != engine.NoSlug}
	p := m.partAt(at)
	s.Feeds = m.feedsAround(at)
	if m.conducts(at) {
		s.Conduct, s.Level, s.On = true, m.level[at], m.level[at] > 0
		s.Feeds = s.Feeds || s.On
	}
	if p == nil {
		s.Powered = s.Forced
		return s
	}
	s.Tokens, s.Transit, s.Timer, s.Carries = len(p.tokens), p.transit, m.hasTimer(p), p.carries
	s.Queued = slices.ContainsFunc(m.acts, func(a *modelAct) bool { return a.part == p.id })
	switch p.Kind {
	case engine.Battery:
	case engine.Wire, engine.Jack:
	case engine.Bucket, engine.Tray:
		s.On = len(p.tokens) > 0
	case engine.Meter:
		s.On, s.Level = p.shows > 0, p.shows
		s.Feeds = s.Feeds || s.On
	case engine.Told:
		s.Told, s.Named = p.state, p.told.States[p.state]
		s.Feeds = s.Feeds || p.told.Feeds[p.state].What == engine.FeedsFront
	default:
		s.On = p.on
		s.Feeds = s.Feeds || s.On && modelKinds[p.Kind].feeds == front
	}
	s.Powered = m.live(p)
	if p.Kind == engine.Gate {
		s.Powered = m.wanted(p)
	}
	idle := !s.Queued && (!s.Timer || p.LetGo)
	if modelKinds[p.Kind].arms {
		s.Armed = idle && (!p.transit || p.LetGo) && m.wanted(p) != p.on
	}
	return s
}

// quiet reports whether nothing is to come.
func (m *model) quiet() bool { return len(m.acts)+len(m.timers)+len(m.falls)+len(m.news) == 0 }
