package invent

import (
	"testing"

	"pulsewright/engine"
)

// TestSearchAllocates: no memory a candidate.
func TestSearchAllocates(t *testing.T) {
	delay := wants(2, 3)
	delay.out, delay.later = engine.Cell{X: 3}, 9
	b := boxOf(delay, engine.Cell{}, engine.Cell{X: 3}, nil, engine.Part{Kind: engine.Wire}, engine.Part{Kind: engine.Gate}, engine.Part{Kind: engine.Link})
	w := newTrying(b)
	w.set([]int{0, 1, 2}, 0)
	if n := testing.AllocsPerRun(3, func() { w.set([]int{0, 1, 2}, 0) }); n > 10 { // some for the set of cells
		t.Errorf("%v allocations for %d candidates", n, w.Run)
	}
}

// BenchmarkSearch: arrangements of three parts that are run, a second, on one core.
func BenchmarkSearch(b *testing.B) {
	delay := wants(2, 3, 5)
	delay.out, delay.later = engine.Cell{X: 3}, 9
	box := &boxed{task: delay, rules: engine.DefaultRules(), hi: engine.Cell{X: 3}}
	for _, p := range []engine.Part{{Kind: engine.Wire}, {Kind: engine.Gate}, {Kind: engine.Link}} {
		for _, d := range facingsOf(p) {
			p.Facing = d
			box.options = append(box.options, p)
		}
	}
	box.prepare([]engine.Cell{delay.into})
	w := newTrying(box)
	b.ReportAllocs()
	run := int64(0)
	for b.Loop() {
		w.set([]int{0, 1, 2}, 1)
		run += w.Run
		w.Run = 0
	}
	b.ReportMetric(float64(run)/b.Elapsed().Seconds(), "candidates/s")
}
