package invent

import (
	"context"
	"fmt"
	"testing"

	"pulsewright/engine"
)

// rowBox is a box of two cells behind a fixed row, so that machines that fill it have so many parts: wires, and gates that read what is behind them and pass it
// on. Almost all machines fail at the first number, most of them after the whole row has acted twice.
func rowBox(parts int) *boxed {
	do := wants(2, 3, 5)
	do.out, do.later = at(int32(parts)-1, 0), 3*parts
	var row []piece
	for x := range int32(parts - 2) {
		p := wire
		if x%2 == 1 {
			p = buf
			p.Pads = []engine.Cell{{X: -1}}
		}
		row = append(row, piece{Part: p, cell: at(x, 0)})
	}
	return boxOf(do, at(int32(parts)-2, 0), at(int32(parts)-1, 0), row, wire, buf, link, on, reed)
}

// TestSearchAllocates: no memory a candidate.
func TestSearchAllocates(t *testing.T) {
	for _, parts := range []int{8, 16, 32} {
		w := newTrying(rowBox(parts))
		set := []int{0, 1}
		all := func() {
			for o := range w.options {
				w.set(set, o)
			}
		}
		all()
		ran := w.Run
		if n := testing.AllocsPerRun(3, all); n > 0 {
			t.Errorf("%d parts: %v allocations for %d candidates", parts, n, ran)
		}
		if ran < 100 {
			t.Errorf("%d parts: %d candidates", parts, ran)
		}
	}
}

// BenchmarkSearch: machines of so many parts that are run, a second, on one core.
func BenchmarkSearch(b *testing.B) {
	for _, parts := range []int{8, 16, 32} {
		b.Run(fmt.Sprintf("parts=%d", parts), func(b *testing.B) {
			w := newTrying(rowBox(parts))
			set := []int{0, 1}
			b.ReportAllocs()
			run := int64(0)
			for b.Loop() {
				for o := range w.options {
					w.set(set, o)
				}
				run += w.Run
				w.Run = 0
			}
			b.ReportMetric(float64(run)/b.Elapsed().Seconds(), "candidates/s")
		})
	}
}

// BenchmarkSearchWorkers: a whole search that finds nothing, by one worker and by two. Two should be 1.7 times as fast and more.
func BenchmarkSearchWorkers(b *testing.B) {
	longer := wants(2, 3)
	longer.out, longer.wants = at(3, 0), []int{4, 6}
	box := boxOf(longer, at(1, 0), at(3, 1), nil, wire, buf, link)
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			for b.Loop() {
				s := &searching{searchPlan: &searchPlan{Most: 4}, boxes: []*boxed{box}, workers: workers, tell: func(string, int64, int64) {}}
				if err := s.run(context.Background()); err != nil || s.sum.Found > 0 {
					b.Fatal(err, s.sum.Found)
				}
				b.ReportMetric(float64(s.sum.Run), "run/op")
				b.ReportMetric(float64(s.sum.all()), "arrangements/op")
			}
		})
	}
}
