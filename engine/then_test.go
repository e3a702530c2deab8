package engine_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pulsewright/engine"
)

// TestThenIsHowItStood: Then gives the bench as it was after each turn, and leaves the bench as it is.
func TestThenIsHowItStood(t *testing.T) {
	copies := 0
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		b.KeepHistory(true)
		dice := rand.New(rand.NewPCG(seed, 5))
		type stood struct {
			at       engine.Instant
			events   []engine.Event
			counters engine.Counters
		}
		var all []stood
		for i := range turns {
			b.Turn()
			all = append(all, stood{b.Now(), eventsOf(b, 1), b.Counters()})
			if i+1 < turns && dice.IntN(20) == 0 { // something is given by hand: from then on it counts
				b.Nudge(engine.Target{Cell: engine.Cell{X: 1}}, true, 0)
				all = all[:len(all)-1]
			}
		}
		if len(all) == 0 {
			return
		}
		sum, log := b.Fingerprint(), eventsOf(b, 1)
		for range 5 {
			want := all[dice.IntN(len(all))]
			c, err := b.Then(t.Context(), want.at)
			if err != nil || c == nil {
				t.Fatalf("then %v: %v, %v", want.at, c, err)
			}
			if c.Now() != want.at || c.Counters() != want.counters || !slices.Equal(eventsOf(c, 1), want.events) {
				t.Fatalf("then %v: it is %v\ngot  %v\nwant %v", want.at, c.Now(), eventsOf(c, 1), want.events)
			}
			if c == b {
				continue
			}
			copies++
			if c.Turn(); !slices.Equal(eventsOf(c, 1), log[:c.EventCount()]) {
				t.Fatalf("what comes after %v is something else", want.at)
			}
			if b.Fingerprint() != sum || !slices.Equal(eventsOf(b, 1), log) {
				t.Fatalf("looking back to %v changed the bench", want.at)
			}
		}
	})
	if copies < 100 {
		t.Errorf("only %d moments were past", copies)
	}
}
