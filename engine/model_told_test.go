package engine_test

import (
	"slices"

	"pulsewright/engine"
)

// wants is the state p would have if it looked now, told so.
func (m *model) wants(p *modelPart, told engine.Teller) int {
	look := engine.Look{State: p.state, Told: told, Forced: m.forced[p.at] > 0}
	for _, k := range m.cords {
		if k.to == p.id && k.Power && m.carries(k) {
			look.Cords++
		}
	}
	live := func(g engine.Groups, at place, ok bool) bool {
		return ok && p.told.Pads&g != 0 && m.padLive(p, at)
	}
	for _, at := range m.around(p.at) {
		switch {
		case !p.told.Faces:
			look.Around += when(live(engine.AroundCells, at, true))
		case p.back(at):
			look.Back = live(engine.BackCell, at, true)
		case p.front(at):
			look.Front = live(engine.FrontCell, at, true)
		default:
			look.Sides += when(live(engine.SideCells, at, true))
		}
	}
	at, ok := p.at.to(p.Facing.Opposite(), 2)
	look.FarBack = live(engine.FarBackCell, at, ok)
	at, ok = p.at.to(p.Facing, 2)
	look.FarFront = live(engine.FarFrontCell, at, ok)
	if w := p.told.wants(look); w >= 0 {
		return w
	}
	return p.state
}

// toldPads lists the places p reads: beside it in neighbour order, then far ones.
func (m *model) toldPads(p *modelPart) (ps []place) {
	for _, at := range m.around(p.at) {
		if g, _ := p.side(at); p.told.Pads&g != 0 {
			ps = append(ps, at)
		}
	}
	for _, far := range []struct {
		group engine.Groups
		dir   engine.Dir
	}{{engine.FarBackCell, p.Facing.Opposite()}, {engine.FarFrontCell, p.Facing}} {
		if at, ok := p.at.to(far.dir, 2); ok && p.told.Pads&far.group != 0 {
			ps = append(ps, at)
		}
	}
	return ps
}

// side says where a place beside p lies as p sees it.
func (p *modelPart) side(at place) (engine.Groups, engine.Teller) {
	switch {
	case !p.told.Faces:
		return engine.AroundCells, engine.ByAround
	case p.back(at):
		return engine.BackCell, engine.ByBack
	case p.front(at):
		return engine.FrontCell, engine.ByFront
	}
	return engine.SideCells, engine.BySide
}

// hearTold is what p does when told, unless it is to react already.
func (m *model) hearTold(p *modelPart, told engine.Teller, cause int) {
	goal := m.wants(p, told)
	if goal == p.state || m.hasTimer(p) || m.queued(p) {
		return
	}
	p.teller, p.goal = told, goal
	switch when := p.told.When[goal]; when {
	case engine.Now:
		m.enter(p, goal, cause, false)
	case engine.NextStep:
		m.queue(p, cause)
	default:
		m.setTimer(p, when, false, cause)
	}
}

// looksAgain lets p look when its act or timer comes, and reports whether it wants another state than it has.
func (m *model) looksAgain(p *modelPart) bool {
	if !p.told.Once {
		p.goal = m.wants(p, p.teller)
	}
	return p.goal != p.state
}

// toldDue is what p does when the timer of its reaction is due.
func (m *model) toldDue(p *modelPart, cause int) {
	if m.looksAgain(p) {
		m.enter(p, p.goal, cause, true)
	} else {
		m.count.Lapses++
		m.event(p.at, engine.Lapses, 0, cause)
	}
}

// thenDue is what p does when it has been in its state for so long.
func (m *model) thenDue(p *modelPart, cause int) {
	if goal := m.wants(p, engine.ByDue); goal != p.state {
		m.enter(p, goal, cause, true)
	}
}

// enter has p enter a state. A silent one has no event: what comes of it has the cause of the entering.
func (m *model) enter(p *modelPart, state, cause int, byItself bool) {
	m.timers = slices.DeleteFunc(m.timers, func(t *modelTimer) bool { return t.job == then && t.part == p.id })
	p.state = state
	silent := p.told.Says[state] == ""
	if !silent {
		cause = m.event(p.at, engine.Enters, state+when(p.told.Active[state])*engine.ActiveState, cause)
	}
	m.setThen(p, cause)
	var news []modelNews
	if !silent {
		switch p.told.Tells {
		case engine.TellsAround:
			news = append(m.toldAround(p.at, cause), m.toldByCords(p.at, cause)...)
		case engine.TellsFront:
			at, ok := p.at.to(p.Facing, 1)
			if q := m.partAt(at); ok && q != nil && q.hearsFrom(p.at) {
				news = append(news, modelNews{q.id, cause, q.toldBy(p.at)})
			}
			news = append(news, m.toldByCords(p.at, cause)...)
		}
	}
	news = append(news, m.spread(p.at, cause)...)
	if byItself && p.told.Relook {
		news = append(news, modelNews{p.id, cause, engine.ByItself})
	}
	m.tell(news)
}

// setThen sets the timer of the state p is in, if that has one.
func (m *model) setThen(p *modelPart, cause int) {
	if ticks := p.told.Then[p.state]; ticks > 0 {
		m.given++
		m.timers = append(m.timers, &modelTimer{number: m.given, tick: m.tick + int64(ticks), job: then, part: p.id, cause: cause})
	}
}

// takesCord reports whether one cord more may end at p: at most 7 carry power, and none to what conducts.
func (m *model) takesCord(p *modelPart, c engine.Cord) bool {
	n := 0
	for _, k := range m.cords {
		n += when(k.to == p.id && k.Power)
	}
	return !c.Power || n < 7 && !slices.Contains(p.told.Conducts, true)
}

// toldFeeds reports whether p can feed a gate.
func (m *model) toldFeeds(p *modelPart, gate place) bool {
	for i, f := range p.told.Feeds {
		if p.told.Conducts[i] || f.What == engine.FeedsAround || f.What == engine.FeedsFront && p.front(gate) {
			return true
		}
	}
	return false
}
