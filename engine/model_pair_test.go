package engine_test

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"

	"pulsewright/engine"
)

// pair is the model and the engine, doing the same.
type pair struct {
	m      *model
	b      *engine.Bench
	number map[int]int         // of a label, in the model
	id     map[int]engine.ID   // of a label, in the engine
	places map[engine.ID]place // where the engine's parts and cells are, in the model's terms
	shelf  map[engine.ID]int   // numbers of shelf parts
	words  map[engine.What]int // events so far
	kinds  map[engine.Kind]int // events so far, by who
	seen   int                 // events compared
	turns  int                 // turns left
}

// errOver ends a comparison without a difference: it has gone on long enough, or has no end.
var errOver = errors.New("over")

func newPair(r engine.Rules, turns int) *pair {
	return &pair{m: newModel(r), b: engine.New(r), number: map[int]int{}, id: map[int]engine.ID{}, places: map[engine.ID]place{},
		shelf: map[engine.ID]int{}, words: map[engine.What]int{}, kinds: map[engine.Kind]int{}, turns: turns}
}

// play does all deeds on both, and returns the first difference. A panic of the engine is one.
func (p *pair) play(deeds []deed) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf(";panic %v\n%s", r, debug.Stack())
		}
	}()
	for i, d := range deeds {
		if err := p.do(d); err == errOver {
			return nil
		} else if err != nil {
			return fmt.Errorf("deed %d, %v;%w", i, d, err)
		}
	}
	if err := p.compareRest(); err != nil {
		return fmt.Errorf("at the end;%w", err)
	}
	return nil
}

// do does one deed, and compares; while a bench is being built only before anything runs on it.
func (p *pair) do(d deed) error {
	runs := d.do >= doTurns
	if runs && p.m.count.Turns == 0 {
		if err := p.compare(); err != nil {
			return err
		}
	}
	if err := p.doBoth(d); err != nil {
		return err
	}
	if runs || p.m.count.Turns > 0 {
		return p.compare()
	}
	return nil
}

// doBoth does one deed. What asks for a part that is not there (any more) is left out.
func (p *pair) doBoth(d deed) error {
	if d.part != 0 && d.do != doPlace && d.do != doShelve && p.number[d.part] == 0 || d.to != 0 && p.number[d.to] == 0 {
		return nil
	}
	at, target := place{cell: d.cell}, engine.Target{Cell: d.cell}
	if d.part != 0 && p.number[d.part] != 0 {
		at, target = p.m.parts[p.number[d.part]].at, engine.Target{ID: p.id[d.part]}
	}
	tick := func(n int64) int64 {
		if n == 0 {
			return 0
		}
		return p.m.tick + n
	}
	var em, eb error
	switch m, b := p.m, p.b; d.do {
	case doPlace, doShelve:
		var n int
		var id engine.ID
		if d.do == doPlace {
			n, em = m.place(d.cell, d.spec)
			id, eb = b.Place(d.cell, d.spec)
		} else {
			n, em = m.shelve(d.spec)
			id, eb = b.Shelve(d.spec)
		}
		if em == nil && eb == nil {
			p.number[d.part], p.id[d.part] = n, id
			if d.do == doShelve {
				p.shelf[id] = n
			}
		}
	case doRemove:
		em, eb = m.remove(p.number[d.part]), b.Remove(p.id[d.part])
		if em == nil && eb == nil {
			p.number[d.part] = 0
		}
	case doPatch:
		em, eb = m.patch(p.number[d.part], p.number[d.to], d.cord), b.Patch(p.id[d.part], p.id[d.to], d.cord)
	case doUnpatch:
		em = m.unpatch(p.number[d.part], p.number[d.to])
		_, eb = b.Unpatch(p.id[d.part], p.id[d.to])
	case doFill:
		em, eb = m.fill(p.number[d.part], d.n), b.Fill(p.id[d.part], d.n)
	case doRules:
		em, eb = m.setRules(d.rules), b.SetRules(d.rules)
	case doPress:
		em, eb = m.press(p.number[d.part], tick(d.at)), b.Press(p.id[d.part], tick(d.at))
	case doRelease:
		em, eb = m.release(p.number[d.part], tick(d.at)), b.Release(p.id[d.part], tick(d.at))
	case doFire:
		f := d.firing
		f.At = tick(d.at)
		em, eb = m.fire(at, f), b.Fire(target, f)
	case doNudge:
		em, eb = m.nudge(at, d.around, tick(d.at)), b.Nudge(target, d.around, tick(d.at))
	case doTurns:
		for range d.n {
			if err := p.turn(); err != nil {
				return err
			}
		}
	case doSteps:
		for range d.n {
			if err := p.runUntil(afterStep, 0); err != nil {
				return err
			}
		}
	case doTicks:
		if err := p.runUntil(afterTicks, int64(d.n)); err != nil {
			return err
		}
	case doRun:
		if err := p.runUntil(whenQuiet, 0); err != nil {
			return err
		}
	}
	if (em == nil) != (eb == nil) {
		return fmt.Errorf("refused: model says %v, engine says %v", em, eb)
	}
	return nil
}

// turn runs one turn of both.
func (p *pair) turn() error {
	if p.turns--; p.turns < 0 {
		return errOver
	}
	m := p.m.Turn()
	if p.m.endless {
		return errOver
	}
	b, err := p.b.Turn()
	if p.m.unsettled && err != nil {
		return errOver
	}
	if err != nil {
		return fmt.Errorf("turn: %w", err)
	}
	if m != b || p.m.unsettled {
		return fmt.Errorf("turn: model says %t, engine says %t", m, b)
	}
	return p.compare()
}

type until int

const (
	afterStep until = iota
	afterTicks
	whenQuiet
)

// runUntil runs the model on its own for a while. If it came to an end within the turns that are left, the
// engine does the same at one go; else both go on turn by turn.
func (p *pair) runUntil(u until, ticks int64) error {
	m, left := p.m.clone(), p.turns
	ended := false
	switch target := m.tick + ticks; {
	case u == afterStep:
		ended = m.runStep(&left)
	case u == afterTicks:
		ended = m.runTo(target, &left)
		m.tick, m.step = target, 0
	default:
		ended = m.runTo(1<<40, &left)
	}
	if !ended || m.endless || m.unsettled {
		for {
			if err := p.turn(); err != nil {
				return err
			}
		}
	}
	p.m, p.turns = m, left
	var err error
	switch ctx := context.Background(); u {
	case afterStep:
		_, err = p.b.Step(ctx, engine.Budget{})
	case afterTicks:
		err = p.b.RunTicks(ctx, ticks, engine.Budget{})
	default:
		err = p.b.Run(ctx, engine.Budget{})
	}
	return err
}

// runStep runs what is left of the present step, or the next.
func (m *model) runStep(left *int) bool {
	if !m.next() {
		return true
	}
	tick, step := m.tick, m.step
	for {
		if c := m.clone(); !c.next() || c.tick > tick {
			m.deliver()
			return true // the next tick has not begun
		}
		if m.next(); m.step != step {
			return true
		}
		if *left--; *left < 0 {
			return false
		}
		m.Turn()
	}
}

// runTo runs to the end of a tick.
func (m *model) runTo(tick int64, left *int) bool {
	for {
		if c := m.clone(); !c.next() || c.tick > tick {
			m.deliver()
			return true
		}
		if *left--; *left < 0 || m.endless || m.unsettled {
			return false
		}
		m.Turn()
	}
}

// compare returns the first difference that shows.
func (p *pair) compare() error {
	m, b := p.m, p.b
	if n := b.EventCount(); n < p.seen {
		return fmt.Errorf("engine has %d events, had %d", n, p.seen)
	}
	for ; p.seen < len(m.log) || p.seen < b.EventCount(); p.seen++ {
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
	costs := b.TickCosts()
	for i := 1; i < len(m.starts); i++ {
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
	case engine.Battery, engine.Key, engine.Wire, engine.Jack, engine.Tray, engine.Spotter, engine.Meter:
		got.Powered = want.Powered // they do not look at their power
	}
	switch q.Kind {
	case engine.Shuttle, engine.Link, engine.Lamp, engine.Reed, engine.Gate:
	default:
		got.Armed = want.Armed // not defined
	}
	switch q.Kind {
	case engine.Key, engine.Tray, engine.Delay, engine.Shuttle, engine.Oneshot, engine.Spotter: // those are timers, but not one that all depends on
		got.Timer = want.Timer
	}
	if want != got {
		return fmt.Errorf("state of the %s at %+v:\nmodel  %+v\nengine %+v", q.Kind, q.at, want, got)
	}
	return nil
}
