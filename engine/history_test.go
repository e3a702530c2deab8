package engine_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pulsewright/engine"
)

// The history of a long run keeps no more than it may, and reaches back to its beginning all the same: going back far
// takes longer, but gives the same bench.
func TestBackAfterALongRun(t *testing.T) {
	const far = 1_000_000
	b := ring(1, 0)
	b.KeepHistory(true)
	b.Run(bg, engine.Budget{Turns: far})
	b.Record(engine.RecordNone)
	sums := map[int64]uint64{}
	for range 50 { // the last turns one by one
		b.Turn()
		sums[b.Turns()] = b.Fingerprint()
	}
	for range 49 {
		if n, err := b.Back(1); n != 1 || err != nil {
			t.Fatalf("back(1) = %d, %v", n, err)
		}
		if b.Fingerprint() != sums[b.Turns()] {
			t.Fatalf("at turn %d the bench is another than before", b.Turns())
		}
	}
	here := b.Turns()
	if n, err := b.Back(here - 7); n != here-7 || err != nil || b.Turns() != 7 {
		t.Fatalf("back to turn 7: %d, %v", n, err)
	}
}

// With little room for snapshots they are thinned: near now they stay dense, and what is far can still be reached.
func TestHistoryIsThinned(t *testing.T) {
	b := ring(1, 0)
	b.KeepHistory(true)
	b.LimitHistory(20 * 2_500)
	b.Run(bg, engine.Budget{Turns: 5_000_000})
	b.Record(engine.RecordNone)
	at := b.HistoryTurns()
	if len(at) > 25 || at[0] != 0 {
		t.Fatalf("%d snapshots, the first after %d turns", len(at), at[0])
	}
	now := b.Turns()
	for i := 1; i < len(at)-1; i++ {
		gap, ago := at[i+1]-at[i], now-at[i+1]
		if gap > ago/2+300_000 {
			t.Errorf("a gap of %d turns, %d turns ago: %v", gap, ago, at)
		}
	}
	for _, n := range []int64{1, 1000, 300_000, 4_000_000} {
		was := b.Turns()
		if back, err := b.Back(n); back != n || err != nil || b.Turns() != was-n {
			t.Fatalf("back(%d) = %d, %v", n, back, err)
		}
	}
}

// Turning back an edit: the bench is as before it.
func TestBackOverAnEdit(t *testing.T) {
	b := engine.New(engine.DefaultRules())
	b.KeepHistory(true)
	key := must(b.Place(engine.Cell{}, engine.Part{Kind: engine.Key}))
	check(b.Press(key, 0))
	check(b.Run(bg, engine.Budget{}))
	want, sum := eventsOf(b, 1), b.Fingerprint()
	must(b.Place(engine.Cell{X: 1}, engine.Part{Kind: engine.Lamp}))
	check(b.Release(key, 0))
	check(b.Run(bg, engine.Budget{}))
	if n, err := b.Back(1); n != 1 || err != nil {
		t.Fatal(n, err)
	}
	if n, _ := b.Back(1); n != 1 || b.Turns() != 0 {
		t.Fatalf("back(1) went %d turns, to turn %d", n, b.Turns())
	}
	check(b.Run(bg, engine.Budget{}))
	if got := eventsOf(b, 1); !slices.Equal(got, want) || b.Fingerprint() != sum {
		t.Errorf("got %v, want %v", got, want)
	}
}

func BenchmarkBack(b *testing.B) {
	for _, turns := range []int64{1e6, 1e7} {
		for _, rig := range []struct {
			name  string
			parts int
		}{{"small", 1}, {"parts=1e5", 100_000}} {
			w := ring(rig.parts, 0)
			w.KeepHistory(true)
			start := time.Now()
			w.Run(bg, engine.Budget{Turns: turns})
			took := time.Since(start)
			b.Run(fmt.Sprintf("%s/turns=%.0e", rig.name, float64(turns)), func(b *testing.B) {
				b.ReportMetric(float64(took.Nanoseconds())/float64(turns), "ns/turn")
				for b.Loop() {
					if n, err := w.Back(1); n != 1 || err != nil {
						b.Fatal(n, err)
					}
				}
			})
		}
	}
}

// crowd is a ring of one gate that tells so many lamps each time it flips.
func crowd(lamps int) *engine.Bench {
	b := ring(1, 0)
	id := engine.ID(1)
	for range lamps {
		check(b.Patch(id, must(b.Shelve(engine.Part{Kind: engine.Lamp})), engine.Cord{Power: true, News: true}))
	}
	return b
}

// Going back where each turn tells 5,000 lamps.
func BenchmarkBackHeavy(b *testing.B) {
	w := crowd(5000)
	w.KeepHistory(true)
	w.Record(engine.RecordNone)
	w.Run(bg, engine.Budget{Turns: 20_000})
	for b.Loop() {
		if n, err := w.Back(1); n != 1 || err != nil {
			b.Fatal(n, err)
		}
	}
}

// Where each turn brings much news there are snapshots all the same every few milliseconds' worth of it.
func TestHistoryOfHeavyTurns(t *testing.T) {
	const lamps = 2000
	b := crowd(lamps)
	b.KeepHistory(true)
	b.Record(engine.RecordNone)
	b.Run(bg, engine.Budget{Turns: 20_000})
	at := b.HistoryTurns()
	for i := 2; i < len(at); i++ {
		if gap := at[i] - at[i-1]; gap > 300 {
			t.Fatalf("%d turns with %d news each between two snapshots: %v", gap, lamps, at)
		}
	}
}
