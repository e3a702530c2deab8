package engine_test

import (
	"math/rand/v2"
	"testing"

	"pulsewright/engine"
)

// TestModelFacts holds the model to what the medium's users know. Common practice, no published source.
func TestModelFacts(t *testing.T) {
	// A bank of armed links: all fed by the pulse at their far pads, the first told by its rising edge.
	for _, c := range []struct {
		steps int
		late  bool
		moved int
	}{{2, false, 1}, {1, false, 0}, {4, true, 4}, {0, false, 0}, {3, false, 2}, {1, true, 1}} {
		m := newModel(engine.DefaultRules())
		for x := range int32(8) {
			m.place(engine.Cell{X: x}, engine.Part{Kind: engine.Link, Facing: engine.PosY})
			m.place(engine.Cell{X: x, Y: -2}, engine.Part{Kind: engine.Wire})
		}
		m.place(engine.Cell{X: -1, Y: -2}, engine.Part{Kind: engine.Wire})
		m.place(engine.Cell{X: -1, Y: -1}, engine.Part{Kind: engine.Wire})
		m.place(engine.Cell{X: -1}, engine.Part{Kind: engine.Wire})
		m.fire(place{cell: engine.Cell{X: -2, Y: -2}}, engine.Firing{Steps: c.steps, Late: c.late})
		for m.Turn() {
		}
		moved := 0
		for _, e := range m.log {
			if e.what == engine.Out {
				moved++
			}
		}
		if moved != c.moved {
			t.Errorf("a pulse of %d steps, late %t, moves %d links, want %d", c.steps, c.late, moved, c.moved)
		}
	}

	// A reed line passes its news to its end in zero steps, a chain of links takes one step for each.
	for _, c := range []struct {
		kind engine.Kind
		step int
	}{{engine.Reed, 0}, {engine.Link, 40}} {
		m := newModel(engine.DefaultRules())
		for x := range int32(40) {
			m.place(engine.Cell{X: x}, engine.Part{Kind: c.kind, Facing: engine.PosY})
			m.place(engine.Cell{X: x, Y: -2}, engine.Part{Kind: engine.Battery})
		}
		m.nudge(place{}, false, 0)
		for m.Turn() {
		}
		if last := m.log[len(m.log)-1]; last.at.cell.X != 39 || last.step != c.step {
			t.Errorf("%s: the end is reached at %+v in step %d, want step %d", c.kind, last.at.cell, last.step, c.step)
		}
	}
}

// TestModelCopies checks that a copy of the model goes its own way.
func TestModelCopies(t *testing.T) {
	for seed := range uint64(50) {
		rules, deeds := randomBench(rand.New(rand.NewPCG(seed, 1)))
		a := newModel(rules)
		for _, d := range deeds {
			if d.do == doPlace {
				a.place(d.cell, d.spec)
			}
			if d.do == doFire && d.part == 0 {
				a.fire(place{cell: d.cell}, d.firing)
			}
		}
		b := a.clone()
		for i := 0; i < 60 && !a.endless && !a.unsettled; i++ {
			a.Turn()
		}
		if len(b.log) != 0 {
			t.Fatalf("seed %d: the copy has events of its original", seed)
		}
		for i := 0; i < 60 && !b.endless && !b.unsettled; i++ {
			b.Turn()
		}
		if len(a.log) != len(b.log) || len(a.log) > 0 && a.log[len(a.log)-1] != b.log[len(b.log)-1] {
			t.Fatalf("seed %d: a copy ran differently", seed)
		}
	}
}
