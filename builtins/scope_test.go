package builtins

import (
	"testing"

	"pulsewright/engine"
)

// nameEvil places a wire whose name would clear a screen.
func nameEvil(b *engine.Bench) error {
	_, err := b.Place(engine.Cell{X: 4, Y: 5}, engine.Part{Kind: engine.Wire, Name: "\x1b[2J\u202e\x00\x9b]]>.\n</svg>"})
	return err
}

// TestAxis: the axis has a column for every moment, in order, and folds what is quiet.
func TestAxis(t *testing.T) {
	for _, c := range []struct {
		about   string
		moments []moment
		want    []column
	}{
		{"one pulse", []moment{{1, 0}, {1, 3}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 1, step: 3}, {tick: 1, step: 4}}},
		{"the next tick", []moment{{1, 0}, {2, 0}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 2}, {tick: 2, step: 1}, {tick: 2, step: 2}}},
		{"a fold", []moment{{1, 0}, {9, 0}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 2, ticks: 7}, {tick: 9}, {tick: 9, step: 1}, {tick: 9, step: 2}}},
		{"a fold of steps", []moment{{1, 0}, {1, 50}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 1, step: 3, steps: 45}, {tick: 1, step: 48}, {tick: 1, step: 49}, {tick: 1, step: 50}, {tick: 1, step: 51}}},
	} {
		got, cut := axis(c.moments, 20, 100)
		if cut || len(got) != len(c.want) {
			t.Errorf("%s: got %v, want %v", c.about, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%s: column %d: got %v, want %v", c.about, i, got[i], c.want[i])
			}
		}
	}
	var many []moment
	for i := range int32(5000) {
		many = append(many, moment{int64(i/7) + 1, i % 7})
	}
	cols, cut := axis(many, 20, 100)
	if last := cols[len(cols)-1]; !cut || len(cols) != 100 || last.tick != many[4999].tick {
		t.Errorf("%d columns up to tick %d of 5000 moments, want the last 100", len(cols), last.tick)
	}
}

// TestScopeReads: cursors read what the lanes show, after the whole of a step or inside it.
func TestScopeReads(t *testing.T) {
	s := mustDo(t, "w = wire((0, 0), (3, 0))\np = probe(w.last)\nfire(w.first, 0)\nfire(w.first, 6)\nrun()")
	lanes, _, _, err := collect(s.Env, []*lane{laneFor(s.Bench, s.names["p"].(*Probe).Target())}, 1, engine.EventID(s.Bench.EventCount()))
	if err != nil {
		t.Fatal(err)
	}
	l := lanes[0]
	for _, c := range []struct {
		at   engine.Instant
		want int32
	}{
		{engine.Instant{}, 0}, {engine.Instant{Tick: 1, Turn: 0}, 1}, {engine.Instant{Tick: 1, Turn: 1}, 0}, {engine.Instant{Tick: 1, Turn: wholeStep}, 1},
		{engine.Instant{Tick: 1, Step: 5, Turn: wholeStep}, 1}, {engine.Instant{Tick: 1, Step: 6, Turn: wholeStep}, 0}, {engine.Instant{Tick: 9}, 0},
	} {
		if got := l.at(c.at); got != c.want {
			t.Errorf("at %v it reads %d, want %d", c.at, got, c.want)
		}
	}
}
