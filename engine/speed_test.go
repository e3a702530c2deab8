package engine_test

import (
	"context"
	"fmt"
	"runtime/debug"
	"testing"
	"time"

	"pulsewright/engine"
)

// The bare loops: flat slices, a FIFO ring, and one cascade; nothing else. The ratio of
// ours to them, taken in one run, is the figure that counts.

type bareChain struct {
	state []bool
	next  []uint32
	ring  []uint32
}

func (c *bareChain) run() int {
	mask := uint32(len(c.ring) - 1)
	head, tail := uint32(0), uint32(1)
	c.ring[0] = 0
	acts, stepEnd, steps := 0, uint32(1), 0
	for head != tail {
		if head == stepEnd {
			steps++
			stepEnd = tail
			if steps > 1<<30 {
				return acts
			}
		}
		i := c.ring[head&mask]
		head++
		c.state[i] = !c.state[i]
		acts++
		if n := c.next[i]; n != 0 {
			c.ring[tail&mask] = n
			tail++
		}
	}
	return acts
}

func bareTree(n, branch int) (state []bool, ring []uint32, run func() int) {
	state = make([]bool, n)
	size := 1
	for size < n {
		size *= 2
	}
	ring = make([]uint32, size)
	first := make([]uint32, n+1)
	kids := make([]uint32, 0, n)
	for i := 0; i < n; i++ {
		first[i] = uint32(len(kids))
		for k := 1; k <= branch; k++ {
			if c := i*branch + k; c < n {
				kids = append(kids, uint32(c))
			}
		}
	}
	first[n] = uint32(len(kids))
	mask := uint32(size - 1)
	run = func() int {
		head, tail := uint32(0), uint32(1)
		ring[0] = 0
		acts, stepEnd, steps := 0, uint32(1), 0
		for head != tail {
			if head == stepEnd {
				steps++
				stepEnd = tail
				if steps > 1<<30 {
					return acts
				}
			}
			i := ring[head&mask]
			head++
			state[i] = !state[i]
			acts++
			for _, n := range kids[first[i]:first[i+1]] {
				ring[tail&mask] = n
				tail++
			}
		}
		return acts
	}
	return state, ring, run
}

func perAct(b *testing.B, acts int64) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(acts), "ns/act")
}

func BenchmarkBareChain(b *testing.B) {
	for _, n := range []int{1e3, 1e4, 1e6} {
		b.Run(fmt.Sprint("n=", n), func(b *testing.B) {
			c := bareChain{state: make([]bool, n), next: make([]uint32, n), ring: make([]uint32, 16)}
			for i := 0; i < n-1; i++ {
				c.next[i] = uint32(i + 1)
			}
			acts := int64(0)
			for b.Loop() {
				acts += int64(c.run())
			}
			perAct(b, acts)
		})
	}
}

func BenchmarkBareTree(b *testing.B) {
	for _, n := range []int{21_845, 349_525} {
		b.Run(fmt.Sprint("n=", n), func(b *testing.B) {
			_, _, run := bareTree(n, 4)
			acts := int64(0)
			for b.Loop() {
				acts += int64(run())
			}
			perAct(b, acts)
		})
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func check(err error) {
	if err != nil {
		panic(err)
	}
}

var bg = context.Background()

// toggle runs the cascade that a key starts, on and off in turn.
func toggle(b *testing.B, w *engine.Bench, key engine.ID) {
	b.Helper()
	big := engine.Budget{Turns: 1 << 40}
	flip := func() {
		if w.State(key).On {
			check(w.Release(key, 0))
		} else {
			check(w.Press(key, 0))
		}
		check(w.Run(bg, big))
	}
	flip()
	flip()
	before := w.Counters().Acts
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		flip()
		w.ForgetEvents()
	}
	perAct(b, w.Counters().Acts-before)
}

func recordings(b *testing.B, run func(b *testing.B, r engine.Recording)) {
	b.Run("record=none", func(b *testing.B) { run(b, engine.RecordNone) })
	b.Run("record=all", func(b *testing.B) { run(b, engine.RecordAll) })
}

// gateChain is a row of gates, each fed by the one before.
func gateChain(n int) (*engine.Bench, engine.ID) {
	w := engine.New(engine.DefaultRules())
	key := must(w.Place(engine.Cell{X: -1}, engine.Part{Kind: engine.Key}))
	for i := range n {
		must(w.Place(engine.Cell{X: int32(i)}, engine.Part{Kind: engine.Gate, Facing: engine.PosX, Op: engine.Buf}))
	}
	return w, key
}

// linkChain is a row of links that a key on the shelf powers by cords, telling none.
func linkChain(n int) (w *engine.Bench, key, first engine.ID) {
	w = engine.New(engine.DefaultRules())
	key = must(w.Shelve(engine.Part{Kind: engine.Key}))
	for i := range n {
		id := must(w.Place(engine.Cell{X: int32(i)}, engine.Part{Kind: engine.Link, Facing: engine.PosY}))
		check(w.Patch(key, id, engine.Cord{Power: true}))
		if i == 0 {
			first = id
		}
	}
	return w, key, first
}

// cascade arms the links by the key, which is set-up, and times the cascade that a nudge of the first sets off.
func cascade(b *testing.B, w *engine.Bench, key, first engine.ID) {
	big := engine.Budget{Turns: 1 << 40}
	acts, took := int64(0), time.Duration(0)
	b.ReportAllocs()
	for b.Loop() {
		if w.State(key).On {
			check(w.Release(key, 0))
		} else {
			check(w.Press(key, 0))
		}
		check(w.Run(bg, big))
		check(w.Nudge(engine.Target{ID: first}, false, 0))
		before, start := w.Counters().Acts, time.Now()
		check(w.Run(bg, big))
		took += time.Since(start)
		acts += w.Counters().Acts - before
		w.ForgetEvents()
	}
	b.ReportMetric(float64(took.Nanoseconds())/float64(acts), "ns/act")
}

func BenchmarkChain(b *testing.B) {
	for _, kind := range []string{"gate", "link"} {
		for _, n := range []int{1e3, 1e4, 1e6} {
			b.Run(fmt.Sprintf("%s/n=%d", kind, n), func(b *testing.B) {
				recordings(b, func(b *testing.B, r engine.Recording) {
					if kind == "link" {
						w, key, first := linkChain(n)
						w.Record(r)
						cascade(b, w, key, first)
						return
					}
					w, key := gateChain(n)
					w.Record(r)
					toggle(b, w, key)
				})
			})
		}
	}
}

// BenchmarkFreshLog records into memory that was never used before, as the first run of a bench does. Long logs measure
// what the system takes for a new page.
func BenchmarkFreshLog(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(400)) // as the command does
	for _, n := range []int{1e3, 1e6} {
		b.Run(fmt.Sprintf("gate/n=%d", n), func(b *testing.B) {
			w, key := gateChain(n)
			acts, took := int64(0), time.Duration(0)
			for b.Loop() {
				w.Snapshot() // what a snapshot knows is not used again
				w.ForgetEvents()
				before, start := w.Counters().Acts, time.Now()
				check(w.Press(key, 0))
				check(w.Run(bg, engine.Budget{Turns: 1 << 40}))
				check(w.Release(key, 0))
				check(w.Run(bg, engine.Budget{Turns: 1 << 40}))
				took += time.Since(start)
				acts += w.Counters().Acts - before
			}
			b.ReportMetric(float64(took.Nanoseconds())/float64(acts), "ns/act")
		})
	}
}

// tree is a tree of parts on the shelf, joined by cords.
func tree(n, branch int, p engine.Part) (*engine.Bench, engine.ID) {
	w := engine.New(engine.DefaultRules())
	key := must(w.Shelve(engine.Part{Kind: engine.Key}))
	ids := make([]engine.ID, n)
	for i := range n {
		ids[i] = must(w.Shelve(p))
	}
	both := engine.Cord{Power: true, News: true}
	check(w.Patch(key, ids[0], both))
	for i := 1; i < n; i++ {
		check(w.Patch(ids[(i-1)/branch], ids[i], both))
	}
	return w, key
}

func BenchmarkTree(b *testing.B) {
	for _, p := range []engine.Part{{Kind: engine.Gate}, {Kind: engine.Link}} {
		for _, n := range []int{21_845, 349_525} {
			b.Run(fmt.Sprintf("%v/n=%d", p.Kind, n), func(b *testing.B) {
				recordings(b, func(b *testing.B, r engine.Recording) {
					w, key := tree(n, 4, p)
					w.Record(r)
					toggle(b, w, key)
				})
			})
		}
	}
}
