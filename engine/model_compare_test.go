package engine_test

import (
	"fmt"
	"slices"

	"pulsewright/engine"
)

// compare returns the first difference that shows: events, counters, the time, the state of every part and cell.
func (p *pair) compare() error {
	m, b := p.m, p.b
	if err := p.compareEvents(); err != nil {
		return err
	}
	if m.count != b.Counters() {
		return fmt.Errorf("counters :\nmodel  %+v\nengine %+v", m.count, b.Counters())
	}
	if m.tick != b.Now().Tick || m.quiet() != b.Quiet() {
		return fmt.Errorf("now: model at tick %d, quiet %t; engine at tick %d, quiet %t", m.tick, m.quiet(), b.Now().Tick, b.Quiet())
	}
	for label, n := range p.number {
		if n == 0 {
			continue
		}
		q := m.parts[n]
		if err := p.sameState(q, m.state(q.at), b.State(p.id[label])); err != nil {
			return err
		}
	}
	for _, at := range m.used {
		if at.shelf == 0 && m.partAt(at) == nil {
			if want, got := m.state(at), b.CellState(at.cell); want != got {
				return fmt.Errorf("state of the bare cell %v:\nmodel  %+v\nengine %+v", at.cell, want, got)
			}
		}
	}
	if err := b.Check(); err != nil {
		return fmt.Errorf("check: %w", err)
	}
	return nil
}

// compareEvents compares the events since the last time.
func (p *pair) compareEvents() error {
	m, b := p.m, p.b
	if p.blind {
		return nil
	}
	for ; p.seen < max(len(m.log), b.EventCount()); p.seen++ {
		want, got := "none", "none"
		if p.seen < len(m.log) {
			e := m.log[p.seen]
			want = eventString(e)
			p.words[e.what]++
			p.kinds[m.kindAt(e.at)]++
		}
		if p.seen < b.EventCount() {
			got = eventString(p.translate(b.Event(engine.EventID(p.seen + 1))))
		}
		if want != got {
			return fmt.Errorf("event %d:\nmodel  %s\nengine %s", p.seen+1, want, got)
		}
	}
	return nil
}

// compareRest compares what is seldom asked for: pads, cords, and the cost of each tick that has ended.
func (p *pair) compareRest() error {
	m, b := p.m, p.b
	label := map[engine.ID]int{}
	for l, n := range p.number {
		if n == 0 {
			continue
		}
		label[p.id[l]] = n
		var want []engine.Cell
		for _, at := range m.pads(m.parts[n]) {
			want = append(want, at.cell)
		}
		if got := b.PadCells(p.id[l]); !slices.Equal(want, got) {
			return fmt.Errorf("pads of the %s at %v: model %v, engine %v", m.parts[n].Kind, m.parts[n].at, want, got)
		}
	}
	var cords []modelCord
	for _, k := range b.Cords() {
		cords = append(cords, modelCord{k.Cord, label[k.From], label[k.To], false})
	}
	for i, k := range m.cords {
		want := *k
		want.took = false
		if i >= len(cords) || len(cords) != len(m.cords) || cords[i] != want {
			return fmt.Errorf("cord %d of %d: model %+v, engine %+v", i, len(m.cords), want, cords)
		}
	}
	costs := b.TickCosts() // kept while all events are recorded
	for i := 1; i < len(m.starts) && !p.blind; i++ {
		want := m.starts[i-1]
		want.Counters = m.starts[i].Sub(want.Counters)
		want.PeakNews = want.News
		if i > len(costs) || costs[i-1] != want {
			return fmt.Errorf("costs of tick %d: model %+v, engine %+v", want.Tick, want, costs)
		}
	}
	return nil
}

// translate says an event of the engine in the model's terms.
func (p *pair) translate(e engine.Event) modelEvent {
	at, ok := p.places[e.ID]
	if !ok {
		if at.shelf = p.shelf[e.ID]; at.shelf == 0 {
			at.cell = p.b.Thing(e.ID).Cell
		}
		p.places[e.ID] = at
	}
	return modelEvent{e.Tick, int(e.Step), int(e.Turn), at, e.What, int(e.Arg), int(e.Cause)}
}

func eventString(e modelEvent) string {
	at := e.at.cell.String()
	if e.at.shelf != 0 {
		at = fmt.Sprintf("shelf %d", e.at.shelf)
	}
	return fmt.Sprintf("%d.%d.%d %s %s %d, cause %d", e.tick, e.step, e.turn, at, e.what, e.arg, e.cause)
}

// sameState compares the states of one part.
func (p *pair) sameState(q *modelPart, want, got engine.State) error {
	switch q.Kind {
	case engine.Battery, engine.Key, engine.Wire, engine.Jack, engine.Tray, engine.Echo, engine.Meter:
		got.Powered = want.Powered // they do not look at their power
	}
	switch q.Kind {
	case engine.Told:
		got.On, got.Powered = want.On, want.Powered // not defined
	}
	if !modelKinds[q.Kind].arms {
		got.Armed = want.Armed // not defined
	}
	switch q.Kind {
	case engine.Key, engine.Tray, engine.Delay, engine.Shuttle, engine.Oneshot, engine.Echo: // those are timers, but not one that all depends on
		got.Timer = want.Timer
	}
	if want != got {
		return fmt.Errorf("state of the %s at %+v:\nmodel  %+v\nengine %+v", q.Kind, q.at, want, got)
	}
	return nil
}
