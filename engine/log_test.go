package engine_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pulsewright/engine"
)

// TestLogOfSnapshots: whatever is recorded, forgotten and brought back, in whatever order, the
// log holds what was recorded on the way to where the bench is: chunks are used again only
// where no snapshot knows them.
func TestLogOfSnapshots(t *testing.T) {
	type moment struct {
		snap *engine.Snapshot
		log  []engine.Event
	}
	for seed := range uint64(20) {
		rnd := rand.New(rand.NewPCG(seed, 5))
		b := sketch(t, `
			g: gate (0,0) +x not ticks=1
			   cord g g`)
		check(b.Nudge(engine.Target{ID: part(t, b, "g")}, false, 0))
		var past []moment
		log := eventsOf(b, 1)
		most := 0
		for range 40 {
			switch act := rnd.IntN(8); {
			case act < 4:
				if err := b.RunTicks(bg, int64(rnd.IntN(5000)), engine.Budget{}); err != nil {
					t.Fatal(err)
				}
				for _, e := range b.Events(engine.EventID(len(log) + 1)) {
					log = append(log, e)
				}
			case act < 6:
				past = append(past, moment{b.Snapshot(), slices.Clone(log)})
			case act == 6 && len(past) > 0:
				m := past[rnd.IntN(len(past))]
				b.Restore(m.snap)
				log = slices.Clone(m.log)
			case act == 7:
				b.ForgetEvents()
				log = nil
			}
			most = max(most, len(log))
			if got := eventsOf(b, 1); !slices.Equal(got, log) {
				t.Fatalf("seed %d: the log holds %d events that are not the %d recorded", seed, len(got), len(log))
			}
		}
		if most < 10_000 {
			t.Fatalf("seed %d: only %d events; the log must fill several chunks", seed, most)
		}
	}
}
