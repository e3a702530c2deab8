package engine_test

import (
	"slices"

	"pulsewright/engine"
)

// hears reports whether parts of a kind hear.
func hears(k engine.Kind) bool { return modelKinds[k].hears }

// toldAround is the news for the six neighbours of a place.
func (m *model) toldAround(at place, cause int) []modelNews {
	var news []modelNews
	for _, q := range m.around(at) {
		if p := m.partAt(q); p != nil && p.hearsFrom(at) {
			news = append(news, modelNews{p.id, cause, p.toldBy(at)})
		}
	}
	return news
}

// hearsFrom reports whether a place beside p may tell it.
func (p *modelPart) hearsFrom(at place) bool {
	switch p.Kind {
	case engine.Echo:
		return p.back(at)
	case engine.Told:
		g, _ := p.side(at)
		return p.told.Hears&g != 0
	}
	return hears(p.Kind)
}

// toldBy is who tells p, as p sees it, if a place beside it does.
func (p *modelPart) toldBy(at place) engine.Teller {
	if p.Kind != engine.Told {
		return 0
	}
	_, by := p.side(at)
	return by
}

// toldByCords is the news for the ends of the cords that start in a place.
func (m *model) toldByCords(at place, cause int) []modelNews {
	var news []modelNews
	for _, k := range m.cords {
		if m.parts[k.from].at == at && k.News && hears(m.parts[k.to].Kind) {
			news = append(news, modelNews{k.to, cause, engine.ByCord})
		}
	}
	return news
}

// change is a change at a place: its six neighbours are told, then its cords; then levels settle and the
// conductors that changed tell. The last of it is for the part more, if any.
func (m *model) change(at place, event int, more ...int) {
	news := append(m.toldAround(at, event), m.toldByCords(at, event)...)
	news = append(news, m.spread(at, event)...)
	for _, p := range more {
		news = append(news, modelNews{p, event, engine.ByItself})
	}
	m.tell(news)
}

// changeOfCords is all that a change of a lamp or bucket does, which tell nobody but the ends of their cords.
func (m *model) changeOfCords(p *modelPart, event int) {
	m.tell(append(m.toldByCords(p.at, event), m.spread(p.at, event)...))
}

// spread settles the levels after a change at a place. Each conductor whose level changed logs live or dead
// if it left or reached 0, and tells; first those that a walk from the place through changed conductors
// reaches, breadth first, then the others in the order first used.
func (m *model) spread(from place, event int) []modelNews {
	before := m.level
	if !m.settle() {
		return nil
	}
	changed := func(at place) bool { return before[at] != m.level[at] }
	walk := []place{from}
	for i := 0; i < len(walk); i++ {
		next := m.around(walk[i])
		for _, k := range m.cords {
			if m.parts[k.from].at == walk[i] {
				next = append(next, m.parts[k.to].at)
			}
		}
		for _, at := range next {
			if changed(at) && !slices.Contains(walk, at) {
				walk = append(walk, at)
			}
		}
	}
	for _, at := range m.used {
		if changed(at) && !slices.Contains(walk, at) {
			walk = append(walk, at)
		}
	}
	var news []modelNews
	for _, at := range walk {
		if !changed(at) { // only the first can be so
			continue
		}
		m.count.Levels++
		cause := event
		switch {
		case before[at] == 0:
			cause = m.event(at, engine.Live, 0, event)
		case m.level[at] == 0:
			cause = m.event(at, engine.Dead, 0, event)
		}
		news = append(news, m.toldAround(at, cause)...)
		news = append(news, m.toldByCords(at, cause)...)
	}
	return news
}

// tell queues the news of one change.
func (m *model) tell(news []modelNews) {
	if m.rules.News == engine.LIFO {
		m.news = append(slices.Clip(news), m.news...)
	} else {
		m.news = append(m.news, news...)
	}
}

// endlessNews is how many deliveries in one turn the model takes for no end.
const endlessNews = 3000

// deliver delivers all news.
func (m *model) deliver() {
	for n := 0; len(m.news) > 0 && !m.unsettled; n++ {
		if n == endlessNews {
			m.endless = true
			return
		}
		next := m.news[0]
		m.news = m.news[1:]
		m.count.News++
		m.count.PeakNews = max(m.count.PeakNews, m.count.News-m.starts[len(m.starts)-1].News)
		m.hear(m.parts[next.hearer], next.told, next.cause)
	}
}

// ---- Stimuli at their turn ----

// pressed presses what is in the place of a key by now.
func (m *model) pressed(p *modelPart) {
	if p != nil && p.Kind == engine.Key && !p.on {
		p.on = true
		on := m.event(p.at, engine.On, 0, 0)
		if p.Hold > 0 {
			m.setTimer(p, p.Hold, false, on)
		}
		m.change(p.at, on)
	}
}

// released is also what the timer of a held key does, with a cause.
func (m *model) released(p *modelPart, cause int) {
	if p != nil && p.Kind == engine.Key && p.on {
		p.on = false
		m.timers = slices.DeleteFunc(m.timers, func(t *modelTimer) bool { return t.job == due && t.part == p.id })
		m.change(p.at, m.event(p.at, engine.Off, 0, cause))
	}
}

// force is a rising edge: only the first of several is a change. It reports false if there is nothing to force.
func (m *model) force(at place) bool {
	if at.shelf != 0 && m.partAt(at) == nil {
		return false
	}
	m.forced[at]++
	if m.forced[at] == 1 {
		m.change(at, m.event(at, engine.Forced, 0, 0))
	}
	return true
}

// fall is a falling edge: only the last of several is a change.
func (m *model) fall(i int) {
	at := m.falls[i].at
	m.falls = slices.Delete(m.falls, i, i+1)
	if m.forced[at] == 0 {
		return // from the shelf meanwhile
	}
	m.forced[at]--
	if m.forced[at] == 0 {
		delete(m.forced, at)
		m.change(at, m.event(at, engine.Freed, 0, 0))
	}
}

// nudged makes the part in a place hear, or its neighbours.
func (m *model) nudged(at place, around bool) {
	if at.shelf != 0 && m.partAt(at) == nil {
		return
	}
	event := m.event(at, engine.Nudged, 0, 0)
	if around { // it is the nudge that tells them, but only those whom the cell could tell
		news := m.toldAround(at, event)
		for i := range news {
			news[i].told = engine.ByNudge
		}
		m.tell(news)
	} else if p := m.partAt(at); p != nil && hears(p.Kind) {
		m.tell([]modelNews{{p.id, event, engine.ByNudge}})
	}
}
