package engine_test

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"testing"

	"pulsewright/engine"
)

func perTurn(b *testing.B, turns int64) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(turns), "ns/turn")
}

// A ring of gates that never settles, run for so many turns.
func BenchmarkRing(b *testing.B) {
	for _, n := range []int{3, 1001} {
		b.Run(fmt.Sprint("n=", n), func(b *testing.B) {
			w := engine.New(engine.DefaultRules())
			ids := make([]engine.ID, n)
			for i := range ids {
				ids[i] = must(w.Shelve(engine.Part{Kind: engine.Gate, Op: engine.Not, On: i%2 == 0}))
			}
			for i := range ids {
				check(w.Patch(ids[i], ids[(i+1)%n], engine.Cord{Power: true, News: true}))
			}
			w.Record(engine.RecordNone)
			check(w.Nudge(engine.Target{ID: ids[0]}, false, 0))
			s := w.Snapshot()
			before := int64(0)
			for b.Loop() {
				w.Restore(s)
				_ = w.RunTicks(bg, 1, engine.Budget{Turns: 1_000_000})
				before += w.Turns()
			}
			perTurn(b, before)
		})
	}
}

// A wire line that goes live and dead; the cost must be the line's length.
func BenchmarkWireLine(b *testing.B) {
	for _, n := range []int{100, 10_000, 100_000} {
		b.Run(fmt.Sprint("n=", n), func(b *testing.B) {
			r := engine.DefaultRules()
			r.Reach = 2 * n
			w := engine.New(r)
			key := must(w.Place(engine.Cell{X: -1}, engine.Part{Kind: engine.Key}))
			for i := range n {
				must(w.Place(engine.Cell{X: int32(i)}, engine.Part{Kind: engine.Wire}))
			}
			w.Record(engine.RecordNone)
			before := w.Counters().Levels
			toggle(b, w, key)
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(w.Counters().Levels-before-2*int64(n)), "ns/level")
			b.ReportMetric(0, "ns/act")
		})
	}
}

// A change that touches three conductors of a net of 10^5.
func BenchmarkSmallChangeInLargeNet(b *testing.B) {
	w := engine.New(engine.DefaultRules())
	const side = 316
	for y := range int32(side) {
		for x := range int32(side) {
			must(w.Place(engine.Cell{X: x, Y: y}, engine.Part{Kind: engine.Wire}))
			if x%8 == 4 && y%8 == 4 {
				must(w.Place(engine.Cell{X: x, Y: y, Z: 1}, engine.Part{Kind: engine.Battery}))
			}
		}
	}
	key := must(w.Place(engine.Cell{X: -1}, engine.Part{Kind: engine.Key}))
	w.Record(engine.RecordNone)
	before := w.Counters().Levels
	toggle(b, w, key)
	b.ReportMetric(float64(w.Counters().Levels-before)/float64(b.N), "levels/op")
	b.ReportMetric(0, "ns/act")
}

// A reed line that flips from end to end in zero steps.
func BenchmarkReedLine(b *testing.B) {
	const n = 10_000
	w := engine.New(engine.DefaultRules())
	key := must(w.Place(engine.Cell{X: -1}, engine.Part{Kind: engine.Key}))
	for i := range int32(n) {
		id := must(w.Place(engine.Cell{X: i}, engine.Part{Kind: engine.Reed, Facing: engine.PosY}))
		if i%7 == 0 {
			check(w.Patch(key, id, engine.Cord{Power: true}))
		}
	}
	w.Record(engine.RecordNone)
	before := w.Counters().Reeds
	toggle(b, w, key)
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(w.Counters().Reeds-before), "ns/reed")
	b.ReportMetric(0, "ns/act")
}

// A lattice of 10^5 parts of mixed kinds, placed in random order, fired at in many places.
func BenchmarkLattice(b *testing.B) {
	for _, n := range []int{1_000, 100_000} {
		b.Run(fmt.Sprint("n=", n), func(b *testing.B) {
			recordings(b, func(b *testing.B, r engine.Recording) {
				rnd := rand.New(rand.NewPCG(1, 2))
				w := mixedLattice(n, rnd)
				w.Record(r)
				side := int32(1)
				for int(side*side*side) < n {
					side++
				}
				for range n / 100 {
					c := engine.Cell{X: rnd.Int32N(side), Y: rnd.Int32N(side), Z: rnd.Int32N(side)}
					check(w.Fire(engine.Target{Cell: c}, engine.Firing{Ticks: 1}))
				}
				w.Number()
				s := w.Snapshot()
				turns, news := int64(0), int64(0)
				for b.Loop() {
					w.Restore(s)
					_ = w.RunTicks(bg, 3, engine.Budget{Turns: 300_000})
					turns += w.Turns()
					news += w.Counters().News
				}
				perTurn(b, turns)
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(news), "ns/news")
			})
		})
	}
}

// Delays that keep each other going: traffic of timers and nothing else.
func BenchmarkTimers(b *testing.B) {
	for _, ticks := range []int{1, 100, 1000} {
		b.Run(fmt.Sprint("ticks=", ticks), func(b *testing.B) {
			const n = 1000
			w := engine.New(engine.DefaultRules())
			ids := make([]engine.ID, n)
			for i := range ids {
				ids[i] = must(w.Shelve(engine.Part{Kind: engine.Delay, Ticks: ticks}))
			}
			for i := range ids {
				check(w.Patch(ids[i], ids[i], engine.Cord{Power: true, News: true, Invert: true}))
				check(w.Nudge(engine.Target{ID: ids[i]}, false, 0))
			}
			w.Record(engine.RecordNone)
			before := w.Turns()
			b.ReportAllocs()
			for b.Loop() {
				check(w.RunTicks(bg, int64(10*ticks), engine.Budget{}))
			}
			perTurn(b, w.Turns()-before)
		})
	}
}

// Placing from Go: time and memory a part, neighbours resolved.
func BenchmarkPlace(b *testing.B) {
	const n = 100_000
	build := func() *engine.Bench {
		w := engine.New(engine.DefaultRules())
		for i := range int32(n) {
			if _, err := w.Place(engine.Cell{X: i % 1000, Y: i / 1000}, engine.Part{Kind: engine.Wire}); err != nil {
				panic(err)
			}
		}
		return w
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	keep := build()
	runtime.GC()
	runtime.ReadMemStats(&after)
	for b.Loop() {
		build()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/part")
	b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/n, "bytes/part")
	runtime.KeepAlive(keep)
}

func BenchmarkSnapshot(b *testing.B) {
	for _, n := range []int{1_000, 100_000} {
		w := mixedLattice(n, rand.New(rand.NewPCG(1, 2)))
		s := w.Snapshot()
		b.Run(fmt.Sprintf("take/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				s = w.Snapshot()
			}
		})
		b.Run(fmt.Sprintf("restore/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				w.Restore(s)
			}
		})
		b.Run(fmt.Sprintf("bench/n=%d", n), func(b *testing.B) {
			for b.Loop() {
				w = s.Bench()
			}
		})
	}
}
