package engine_test

import (
	"slices"

	"pulsewright/engine"
)

// modelKind is what the model knows of a kind beside what it does: written anew here, not read from the engine.
type modelKind struct {
	hears bool
	pads  sides
	far   bool // it has a far pad: behind it, a bucket's below it
	given bool // random benches give it other pads
	feeds sides
	ticks int  // how many it takes unless told otherwise
	arms  bool // it can be armed
	posed bool // it can be posed on
}

// sides are neighbours of a part.
type sides uint8

const (
	none sides = iota
	front
	back
	flanks // neither front nor back
	rear   // all but the front
	around
)

var modelKinds = [256]modelKind{
	engine.Battery: {feeds: around},
	engine.Key:     {feeds: around, posed: true},
	engine.Lamp:    {hears: true, pads: around, given: true, arms: true, posed: true},
	engine.Reed:    {hears: true, pads: rear, far: true, given: true, arms: true, posed: true},
	engine.Link:    {hears: true, pads: rear, far: true, given: true, arms: true},
	engine.Shuttle: {hears: true, pads: rear, far: true, given: true, arms: true},
	engine.Delay:   {hears: true, pads: back, given: true, feeds: front, ticks: 1, posed: true},
	engine.Oneshot: {hears: true, pads: back, given: true, feeds: front, ticks: 1, posed: true},
	engine.Echo:    {hears: true, pads: back, feeds: front, posed: true},
	engine.Gate:    {hears: true, pads: rear, given: true, feeds: front, arms: true, posed: true},
	engine.Bucket:  {hears: true, pads: rear, far: true, given: true},
	engine.Tray:    {feeds: around},
	engine.Chute:   {hears: true, pads: flanks, given: true, ticks: 3},
	engine.Meter:   {hears: true, pads: back, feeds: front},
	engine.Told:    {hears: true},
}

// at reports whether a neighbour of p is on one of these sides of it.
func (s sides) at(p *modelPart, q place) bool {
	switch s {
	case front:
		return p.front(q)
	case back:
		return p.back(q)
	case flanks:
		return !p.front(q) && !p.back(q)
	case rear:
		return !p.front(q)
	}
	return s == around
}

// hear delivers one piece of news to p. Who tells it matters only to kinds of one's own.
func (m *model) hear(p *modelPart, told engine.Teller, cause int) {
	switch p.Kind {
	case engine.Lamp:
		if m.live(p) != p.on {
			p.on = !p.on
			m.changeOfCords(p, m.event(p.at, word(p.on, engine.Lit, engine.Dark), 0, cause))
		}
	case engine.Reed:
		if m.wanted(p) != p.on {
			m.count.Reeds++
			m.flip(p, cause)
		}
	case engine.Link, engine.Shuttle:
		if m.wanted(p) != p.on && (!p.transit || p.LetGo) {
			m.queue(p, cause)
		}
	case engine.Gate:
		if m.wanted(p) == p.on {
			return
		}
		if p.Ticks == 0 {
			m.queue(p, cause)
		} else if !m.hasTimer(p) {
			m.setTimer(p, p.Ticks, false, cause)
		}
	case engine.Delay:
		m.lookDelay(p, cause)
	case engine.Oneshot:
		switch live := m.live(p); {
		case !live:
			p.ready = true
		case !p.on && p.ready:
			p.ready = false
			m.setTimer(p, p.Ticks, false, m.flip(p, cause))
		}
	case engine.Echo:
		if !m.hasTimer(p) {
			m.setTimer(p, 1, false, cause)
		}
	case engine.Bucket:
		m.hearBucket(p, cause)
	case engine.Chute:
		m.lookChute(p, cause)
	case engine.Meter:
		m.lookMeter(p, cause)
	case engine.Told:
		m.hearTold(p, told, cause)
	}
}

func word(on bool, yes, no engine.What) engine.What {
	if on {
		return yes
	}
	return no
}

// queue queues an act for the next step, unless p has one queued.
func (m *model) queue(p *modelPart, cause int) {
	if !m.queued(p) {
		m.acts = append(m.acts, &modelAct{part: p.id, cause: cause, step: m.step + 1})
	}
}

func (m *model) queued(p *modelPart) bool {
	return slices.ContainsFunc(m.acts, func(a *modelAct) bool { return a.part == p.id })
}

// flip turns p on or off: a change at its cell. It returns the event.
func (m *model) flip(p *modelPart, cause int) int {
	p.on = !p.on
	event := m.event(p.at, word(p.on, engine.On, engine.Off), 0, cause)
	m.change(p.at, event)
	return event
}

// wanted is the state the power of p calls for.
func (m *model) wanted(p *modelPart) bool {
	switch p.Kind {
	case engine.Reed:
		return m.live(p) || m.held(p)
	case engine.Gate:
		return m.forced[p.at] > 0 || m.computes(p)
	}
	return m.live(p)
}

// held reports whether a reed of p's line has a live pad and holds p: of the same facing, in a straight
// line, at most run cells away, with reeds in between that are all on.
func (m *model) held(p *modelPart) bool {
	for _, d := range m.orderOf(p.at) {
		for n := 1; n <= m.rules.Run; n++ {
			at, ok := p.at.to(d, int32(n))
			q := m.partAt(at)
			if !ok || q == nil || q.Kind != engine.Reed || q.Facing != p.Facing {
				break
			}
			if m.live(q) {
				return true
			}
			if !q.on {
				break
			}
		}
	}
	return false
}

// computes is what a gate makes of its inputs.
func (m *model) computes(p *modelPart) bool {
	in := m.inputs(p)
	live := 0
	for _, v := range in {
		if v {
			live++
		}
	}
	all := live == len(in) && live > 0
	switch p.Op {
	case engine.Buf, engine.Or:
		return live > 0
	case engine.Not, engine.Nor:
		return live == 0
	case engine.And:
		return all
	case engine.Nand:
		return !all
	case engine.Xor:
		return live%2 == 1
	case engine.Xnor:
		return live%2 == 0
	case engine.Maj:
		return 2*live > len(in)
	case engine.Hold:
		return all || p.on && live > 0
	}
	set, reset := len(in) > 0 && in[0], len(in) > 1 && in[1]
	return set || p.on && !reset
}

// ---- Shuttle and link ----

// leaveSeat is the act of a shuttle or link whose power calls for the other state.
func (m *model) leaveSeat(p *modelPart, cause int) {
	if p.Grip != engine.NoGrip {
		m.grips(p, cause)
		return
	}
	seat, hasSlug := p.seat()
	p.on = !p.on
	if goal, ok := p.seat(); ok && m.takenByOther(goal, p) {
		p.on = !p.on
		m.count.Lapses++
		m.event(p.at, engine.Blocked, 0, cause)
		return
	}
	event := m.event(p.at, word(p.on, engine.Out, engine.Home), 0, cause)
	if p.Kind == engine.Shuttle {
		p.transit = true
		m.setTimer(p, m.travel(p), false, event)
	}
	if hasSlug {
		p.on = !p.on // a cord from p takes over its state with the second change
		m.change(seat, event)
		p.on = !p.on
	}
	m.change(p.at, event)
}

// takenByOther reports whether a seat is taken, leaving the slug of p itself out.
func (m *model) takenByOther(at place, p *modelPart) bool {
	slug := p.Slug
	p.Slug = engine.NoSlug
	defer func() { p.Slug = slug }()
	return m.taken(at)
}

// ---- Timers of parts ----

// timerDue is what a part does when its timer comes due.
func (m *model) timerDue(p *modelPart, t *modelTimer) {
	switch p.Kind {
	case engine.Key:
		m.released(p, t.cause)
	case engine.Shuttle:
		if p.carries != engine.NoSlug {
			m.putsDown(p, t.cause, p.id)
			return
		}
		p.transit = false
		event := m.event(p.at, engine.Lands, 0, t.cause)
		if seat, ok := p.seat(); ok {
			m.change(seat, event, p.id)
		} else {
			m.tell([]modelNews{{p.id, event, engine.ByItself}})
		}
	case engine.Delay:
		if edge := m.flip(p, t.cause); p.Mode == engine.Stretch {
			m.lookDelay(p, edge)
		}
	case engine.Oneshot:
		m.flip(p, t.cause)
		if !m.live(p) {
			p.ready = true
		}
	case engine.Echo:
		if on := m.flip(p, t.cause); p.on {
			m.setTimer(p, 1, false, on)
		}
	case engine.Gate:
		if m.wanted(p) != p.on {
			m.flip(p, t.cause)
		} else {
			m.count.Lapses++
			m.event(p.at, engine.Lapses, 0, t.cause)
		}
	case engine.Bucket:
		m.dropBucket(p, t.cause)
	case engine.Tray:
		m.leave(p, m.event(p.at, engine.Consumes, 0, t.cause))
	case engine.Chute:
		m.moveChute(p, t.cause)
	case engine.Told:
		m.toldDue(p, t.cause)
	}
}

// poseOn sets the timer of a part posed on that will go off by itself: it counts from now.
func (m *model) poseOn(p *modelPart) {
	switch {
	case p.Kind == engine.Told:
		m.setThen(p, 0)
	case !p.on:
	case p.Kind == engine.Key && p.Hold > 0:
		m.setTimer(p, p.Hold, false, 0)
	case p.Kind == engine.Oneshot:
		m.setTimer(p, p.Ticks, false, 0)
	case p.Kind == engine.Echo:
		m.setTimer(p, 1, false, 0)
	}
}

// ---- Delay ----

// lookDelay is what a delay does when told; one that stretches also after each edge of its output.
func (m *model) lookDelay(p *modelPart, cause int) {
	in := m.live(p)
	switch p.Mode {
	case engine.Stretch:
		if in != p.on && !m.hasTimer(p) {
			m.setTimer(p, p.Ticks, in, cause)
		}
	case engine.Transport:
		if in != p.last {
			p.last = in
			m.setTimer(p, p.Ticks, in, cause)
		}
	case engine.Inertial:
		if in != p.last {
			p.last = in
			m.inertialEdge(p, in, cause)
		}
	}
}

// inertialEdge edits the edges p has to come, as IEEE 1076-2019, 10.5.2.2 edits a projected output waveform.
// An edge due in this very tick is as good as out: it stays.
func (m *model) inertialEdge(p *modelPart, value bool, cause int) {
	number := m.setTimer(p, p.Ticks, value, cause)
	var edges []*modelTimer // the old ones before the new, which is the last
	for _, t := range m.timers {
		if t.job == due && t.part == p.id && (t.number == number || t.tick < m.tick+int64(p.Ticks)) {
			edges = append(edges, t)
		}
	}
	slices.SortStableFunc(edges, func(a, b *modelTimer) int { return int(a.tick - b.tick) })
	first := m.tick + int64(p.Ticks)
	marked := map[*modelTimer]bool{}
	for i := len(edges) - 1; i >= 0; i-- {
		t := edges[i]
		isNew := i == len(edges)-1
		marked[t] = isNew || t.tick == m.tick || t.tick < first-int64(p.Reject) || marked[edges[i+1]] && edges[i+1].value == t.value
	}
	out := p.on // what the output is before each edge; edges that do not change it are dropped
	for _, t := range edges {
		if marked[t] && t.value == out {
			marked[t] = false
		} else if marked[t] {
			out = t.value
		}
	}
	m.timers = slices.DeleteFunc(m.timers, func(t *modelTimer) bool { return t.job == due && t.part == p.id && !marked[t] })
}
