package engine_test

import (
	"maps"
	"slices"

	"pulsewright/engine"
)

// This file and its neighbours model_*_test.go are the medium once more, written to be read beside the rules
// rather than to be fast: sorted slices, everything recomputed whenever it is asked for. The model shares
// nothing with the engine but the types of its public face. random_test.go compares the two, event for event.

// place is where something is: a cell of the lattice, or the part with that number on the shelf.
type place struct {
	cell  engine.Cell
	shelf int // 0: on the lattice
}

// model is a bench. Parts and events go by number, from 1, so that a copy is a plain copy.
type model struct {
	rules  engine.Rules
	parts  []*modelPart          // by number, in the order placed; nil where none is any more
	used   []place               // in the order first used
	forced map[place]int         // how many stimuli force it
	level  map[place]int         // of conductors
	loose  map[place]engine.Slug // slugs of no shuttle, where they sit
	cords  []*modelCord          // in the order made

	tick       int64
	step, turn int           // turn: of the last turn; -1 before the first of a step
	timers     []*modelTimer // not come due, in the order set
	falls      []modelFall   // falling edges to come, in the order given
	acts       []*modelAct   // queued, in order
	news       []modelNews   // told, not heard; the next to be heard first
	given      int           // timers and edges so far
	log        []modelEvent
	count      engine.Counters
	starts     []engine.TickCost // the counters at the start of each tick that had a turn

	endless   bool // the news of one turn had no end: the model gives up
	unsettled bool // the levels never settle: an error
}

// modelPart is a part and its state.
type modelPart struct {
	engine.Part // as placed, with the defaults filled in
	id          int
	at          place
	on          bool        // on, out, lit
	transit     bool        // shuttle: its slug is on its way to the seat of its state
	carries     engine.Slug // shuttle with a grip: the loose slug in transit
	ready       bool        // oneshot
	last        bool        // transport and inertial delay: the input last taken over
	tokens      []int       // oldest first; each the number of its timer, or 0
	shows       int         // meter: its level

	told   *toldKind // of a kind of one's own: what it is
	state  int
	teller engine.Teller // who told it of the reaction to come
	goal   int           // the state it wanted then, or when it looked again
}

// modelCord is a patch cord. What starts at a wire or jack carries what that was at the last settling.
type modelCord struct {
	engine.Cord
	from, to int
	took     bool
}

type modelEvent struct {
	tick       int64
	step, turn int
	at         place
	what       engine.What
	arg        int
	cause      int
}

// modelTimer is what will happen in step 0 of a tick: to a part, or a stimulus.
type modelTimer struct {
	number int
	tick   int64
	job    job
	part   int        // whose timer
	at     place      // of a stimulus
	value  bool       // the edge of a delay; nudge: around
	fall   *modelFall // the other edge of a forced pulse without width
	cause  int
}

type job int

const (
	press job = iota
	release
	rise
	nudge
	due  // a part's own timer
	then // that of the state of a kind of one's own
)

type modelFall struct {
	number int
	tick   int64
	step   int
	late   bool
	at     place
}

type modelAct struct {
	part, cause int
	step        int
	looked      bool // reads="step": it has looked
	differs     bool // … and saw that its power calls for another state
}

type modelNews struct {
	hearer, cause int
	told          engine.Teller // who tells it, as it sees it
}

func newModel(r engine.Rules) *model {
	return &model{rules: r, parts: make([]*modelPart, 1), forced: map[place]int{}, level: map[place]int{}, loose: map[place]engine.Slug{}, turn: -1}
}

// clone returns a model that shares nothing with m.
func (m *model) clone() *model {
	c := *m
	c.parts = nil
	for _, p := range m.parts {
		if p != nil {
			q := *p
			q.tokens = slices.Clone(p.tokens)
			p = &q
		}
		c.parts = append(c.parts, p)
	}
	c.forced, c.level, c.loose = maps.Clone(m.forced), maps.Clone(m.level), maps.Clone(m.loose)
	c.cords = nil
	for _, k := range m.cords {
		d := *k
		c.cords = append(c.cords, &d)
	}
	c.acts = nil
	for _, a := range m.acts {
		b := *a
		c.acts = append(c.acts, &b)
	}
	c.starts = slices.Clone(m.starts)
	c.used, c.timers = slices.Clone(m.used), slices.Clone(m.timers)
	c.falls, c.news, c.log = slices.Clone(m.falls), slices.Clone(m.news), slices.Clone(m.log)
	return &c
}

// event logs what happened and returns its number.
func (m *model) event(at place, what engine.What, arg, cause int) int {
	m.log = append(m.log, modelEvent{m.tick, m.step, m.turn, at, what, arg, cause})
	return len(m.log)
}

// ---- Time ----

// next moves on to the step that has the next turn, and reports whether there is one.
func (m *model) next() bool {
	if len(m.news) > 0 && m.dueAct() < 0 {
		m.deliver() // the last act of the step was taken away before its turn
	}
	for {
		if m.earlyFall() >= 0 || m.lateFall() >= 0 || m.step == 0 && m.dueTimer() >= 0 || m.step > 0 && m.dueAct() >= 0 {
			return true
		}
		step, tick := -1, int64(-1)
		sooner := func(t int64, s int) {
			if t == m.tick && (step < 0 || s < step) {
				step = s
			}
			if t > m.tick && (tick < 0 || t < tick) {
				tick = t
			}
		}
		for _, a := range m.acts {
			sooner(m.tick, a.step)
		}
		for _, f := range m.falls {
			sooner(f.tick, f.step)
		}
		for _, t := range m.timers {
			sooner(t.tick, 0)
		}
		switch {
		case step >= 0:
			m.step, m.turn = step, -1
		case tick >= 0:
			m.tick, m.step, m.turn = tick, 0, -1
			m.starts = append(m.starts, engine.TickCost{Tick: tick, Counters: m.count})
		default:
			return false
		}
	}
}

// Turn runs one turn; it reports false if the bench is quiet.
//
// The order inside a step: falling edges that come early; in step 0 the timers, in later steps the acts;
// falling edges that come late.
func (m *model) Turn() bool {
	if !m.next() {
		return false
	}
	m.turn++
	m.count.Turns++
	if i := m.earlyFall(); i >= 0 {
		m.fall(i)
	} else if i := m.dueTimer(); m.step == 0 && i >= 0 {
		t := m.timers[i]
		m.timers = slices.Delete(m.timers, i, i+1)
		m.runTimer(t)
	} else if i := m.dueAct(); m.step > 0 && i >= 0 {
		m.runAct(i)
		if m.rules.Reads == engine.ByStep && m.dueAct() >= 0 {
			return true // the news of a step waits for its last act
		}
	} else {
		m.fall(m.lateFall())
	}
	m.deliver()
	return true
}

// earlyFall returns the index of the falling edge that has its turn now, or -1. An edge without a width
// comes right after its rise, whatever else is due.
func (m *model) earlyFall() int {
	return slices.IndexFunc(m.falls, func(f modelFall) bool { return f.tick == m.tick && f.step == m.step && !f.late })
}

func (m *model) lateFall() int {
	return slices.IndexFunc(m.falls, func(f modelFall) bool { return f.tick == m.tick && f.step == m.step && f.late })
}

func (m *model) dueTimer() int {
	return slices.IndexFunc(m.timers, func(t *modelTimer) bool { return t.tick == m.tick })
}

func (m *model) dueAct() int {
	return slices.IndexFunc(m.acts, func(a *modelAct) bool { return a.step == m.step })
}

// runTimer runs a stimulus or a part's timer.
func (m *model) runTimer(t *modelTimer) {
	switch t.job {
	case press:
		m.pressed(m.partAt(t.at))
	case release:
		m.released(m.partAt(t.at), 0)
	case rise:
		if !m.force(t.at) { // then there is nothing to fall
			m.falls = slices.DeleteFunc(m.falls, func(f modelFall) bool { return f.number == t.number })
		} else if t.fall != nil { // without width: the very next turn
			f := *t.fall
			f.late = false
			m.falls = slices.Insert(m.falls, 0, f)
		}
	case nudge:
		m.nudged(t.at, t.value)
	case due:
		m.count.Timers++
		m.timerDue(m.parts[t.part], t)
	case then:
		m.count.Timers++
		m.thenDue(m.parts[t.part], t.cause)
	}
}

// setTimer sets a part's timer and returns its number.
func (m *model) setTimer(p *modelPart, ticks int, value bool, cause int) int {
	m.given++
	m.timers = append(m.timers, &modelTimer{number: m.given, tick: m.tick + int64(ticks), job: due, part: p.id, value: value, cause: cause})
	return m.given
}

func (m *model) hasTimer(p *modelPart) bool {
	return slices.ContainsFunc(m.timers, func(t *modelTimer) bool { return t.job == due && t.part == p.id })
}

func (m *model) cancelTimer(number int) {
	m.timers = slices.DeleteFunc(m.timers, func(t *modelTimer) bool { return t.number == number })
}

// runAct lets the part of a queued act look again, and act. With reads="step" all acts of the step look
// before the first of them changes anything.
func (m *model) runAct(i int) {
	a := m.acts[i]
	for _, b := range m.acts {
		if b == a || m.rules.Reads == engine.ByStep && b.step == m.step {
			switch p := m.parts[b.part]; {
			case b.looked:
			case p.Kind == engine.Told:
				b.looked, b.differs = true, m.looksAgain(p)
			default:
				b.looked, b.differs = true, m.wanted(p) != p.on
			}
		}
	}
	m.acts = slices.Delete(m.acts, i, i+1)
	m.count.Acts++
	p := m.parts[a.part]
	switch {
	case !a.differs:
		m.count.Lapses++
		m.event(p.at, engine.Lapses, 0, a.cause)
	case p.Kind == engine.Gate:
		m.flip(p, a.cause)
	case p.Kind == engine.Told:
		m.enter(p, p.goal, a.cause, true)
	default:
		m.leaveSeat(p, a.cause)
	}
}
