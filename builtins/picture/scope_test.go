package picture

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins/observe"
	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// TestAxis: the axis has a column for every moment, in order, and folds what is quiet.
func TestAxis(t *testing.T) {
	for _, c := range []struct {
		about   string
		moments []Moment
		want    []column
	}{
		{"one pulse", []Moment{{1, 0}, {1, 3}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 1, step: 3}, {tick: 1, step: 4}}},
		{"the next tick", []Moment{{1, 0}, {2, 0}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 2}, {tick: 2, step: 1}, {tick: 2, step: 2}}},
		{"a fold", []Moment{{1, 0}, {9, 0}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 2, ticks: 7}, {tick: 9}, {tick: 9, step: 1}, {tick: 9, step: 2}}},
		{"a fold of steps", []Moment{{1, 0}, {1, 50}}, []column{{tick: 1}, {tick: 1, step: 1}, {tick: 1, step: 2}, {tick: 1, step: 3, steps: 45}, {tick: 1, step: 48}, {tick: 1, step: 49}, {tick: 1, step: 50}, {tick: 1, step: 51}}},
	} {
		got, cut := TimeAxis(c.moments, 20, 100)
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
	var many []Moment
	for i := range int32(5000) {
		many = append(many, Moment{int64(i/7) + 1, i % 7})
	}
	cols, cut := TimeAxis(many, 20, 100)
	if last := cols[len(cols)-1]; !cut || len(cols) != 100 || last.tick != many[4999].Tick {
		t.Errorf("%d columns up to tick %d of 5000 moments, want the last 100", len(cols), last.tick)
	}
}

// TestScopeReads: cursors read what the lanes show, after the whole of a step or inside it.
func TestScopeReads(t *testing.T) {
	s := stage.MustDo(t, "w = wire((0, 0), (3, 0))\np = probe(w.last)\nfire(w.first, 0)\nfire(w.first, 6)\nrun()")
	lanes, _, _, err := Collect(s.Env, []*Lane{LaneFor(s.Bench, s.Names["p"].(*observe.Probe).Target())}, 1, engine.EventID(s.Bench.EventCount()))
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

// TestScopeRandom: on random benches every change has a column, every pulse that a probe sees has its width on it, and no
// line is wider than asked for.
func TestScopeRandom(t *testing.T) {
	pulses, zero := 0, 0
	for seed := range uint64(200) {
		b := stage.RandomBench(rand.New(rand.NewPCG(seed, 9)))
		s := stage.New()
		s.Bench, s.ASCII = b, seed%2 == 0
		var lanes []*Lane
		var probes []*observe.Probe
		for id := range b.Parts() {
			target := engine.Target{ID: id}
			p, err := observe.NewProbe(b, target, "")
			if err != nil {
				t.Fatal(err)
			}
			lanes, probes = append(lanes, LaneFor(b, target)), append(probes, p)
		}
		lanes, moments, _, err := Collect(s.Env, lanes, 1, engine.EventID(b.EventCount()))
		if err != nil {
			t.Fatal(err)
		}
		cols, cut := TimeAxis(moments, 30, 1<<20)
		if cut {
			t.Fatal("cut")
		}
		g := LayOut(s.Env, lanes, cols, false, nil)
		for i, r := range g.rows {
			n := 0
			for _, c := range r.cells {
				n += c.changes
			}
			if n != len(lanes[i].changes) {
				t.Errorf("seed %d: %s: %d changes in columns, %d in the log", seed, r.name, n, len(lanes[i].changes))
			}
			if r.sort != LaneOnOff {
				continue
			}
			var want, got []string
			for _, p := range probes[i].Pulses() {
				if ticks, steps := p.Width(); p.Done {
					want = append(want, widthLabel(ticks, steps))
					pulses++
					if ticks == 0 && steps == 0 {
						zero++
					}
				}
			}
			for _, s := range r.spans {
				got = append(got, s.label)
				if s.zero != (s.label == "0") {
					t.Errorf("seed %d: %s: a span %+v", seed, r.name, s)
				}
			}
			if !slices.Equal(got, want) {
				t.Errorf("seed %d: %s: widths %v, want %v", seed, r.name, got, want)
			}
		}
		for _, width := range []int{20, 37, 80} {
			s.Width = width
			s.Printed.Reset()
			if msg := s.Do("print(scope())\nprint(map())\nprint(scope(between=(1, (2, 1)), *parts()))"); msg != "" {
				t.Fatal(msg)
			}
			for line := range strings.SplitSeq(s.Printed.String(), "\n") {
				if n := say.Columns(line); n > width && width > 40 {
					t.Errorf("seed %d: %d columns instead of %d: %s", seed, n, width, line)
				}
			}
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	if pulses < 500 || zero < 20 {
		t.Errorf("%d pulses, %d of 0 steps: the test is too thin", pulses, zero)
	}
}
