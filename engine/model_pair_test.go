package engine_test

import (
	"errors"
	"fmt"
	"runtime/debug"

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
	blind  bool                // the engine records no events: compare only what came of them
	turns  int                 // turns left
}

// errOver ends a comparison without a difference: it has gone on long enough, or has no end.
var errOver = errors.New("over")

// turnsCompared is how many turns of a bench are compared: many random ones never come to rest.
const turnsCompared = 150

func newPair(r engine.Rules, blind bool) *pair {
	p := &pair{m: newModel(r), b: engine.New(r), number: map[int]int{}, id: map[int]engine.ID{}, places: map[engine.ID]place{},
		shelf: map[engine.ID]int{}, words: map[engine.What]int{}, kinds: map[engine.Kind]int{}, turns: turnsCompared, blind: blind}
	if blind {
		p.b.Record(engine.RecordNone)
	}
	return p
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
	case doSlug:
		em, eb = m.putSlug(at, d.spec.Slug), b.PutSlug(d.cell, d.spec.Slug)
	case doNumber:
		b.Number()
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
