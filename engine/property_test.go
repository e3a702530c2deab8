package engine_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"pulsewright/engine"
)

// setUp makes a random bench with its stimuli given but nothing run, and says how many turns it has to run:
// at most 120, and none whose news has no end or whose levels never settle.
func setUp(t *testing.T, seed uint64) (b *engine.Bench, turns int) {
	t.Helper()
	rules, deeds := randomBench(rand.New(rand.NewPCG(seed, 2)))
	p := newPair(rules, false)
	for _, d := range deeds {
		switch d.do {
		case doTurns, doSteps, doTicks, doRun:
			continue
		}
		if err := p.doBoth(d); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
	for turns < 120 && p.m.Turn() && !p.m.endless && !p.m.unsettled {
		turns++
	}
	return p.b, turns
}

// run runs so many turns, checking the bench after each.
func run(t *testing.T, b *engine.Bench, turns int) {
	t.Helper()
	for i := range turns {
		if ok, err := b.Turn(); !ok || err != nil {
			t.Fatalf("turn %d: %t, %v", i, ok, err)
		}
		if err := b.Check(); err != nil {
			t.Fatalf("after turn %d, at %v: %v", i, b.Now(), err)
		}
	}
}

// eventsOf returns the log from an event on.
func eventsOf(b *engine.Bench, from engine.EventID) []engine.Event {
	var es []engine.Event
	for _, e := range b.Events(from) {
		es = append(es, e)
	}
	return es
}

// overSeeds runs a check on many random benches.
func overSeeds(t *testing.T, check func(t *testing.T, seed uint64)) {
	for seed := range uint64(setting(t, "PULSEWRIGHT_BENCHES", 1000) / 5) {
		if !t.Run(fmt.Sprint("seed=", seed), func(t *testing.T) { check(t, seed) }) {
			return
		}
	}
}

// timedSilently reports whether a bench has, or had, a part that may look by itself and enter a state without an event.
func timedSilently(b *engine.Bench) bool {
	for id := engine.ID(1); b.Thing(id).ID != 0; id++ {
		if k := b.Spec(id); k != nil && slices.Max(k.Then) > 0 && slices.Contains(k.Says, "") {
			return true
		}
	}
	return false
}

// Every chain of causes leads back, never to a later instant or event, to an event that has
// none: a stimulus, or the timer of a part posed on or holding tokens.
func TestCausesLeadToAStimulus(t *testing.T) {
	longest := 0
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		run(t, b, turns)
		silent := timedSilently(b)
		for id, e := range b.Events(1) {
			length := 1
			for ; e.Cause != 0; length++ {
				if e.Cause >= id {
					t.Fatalf("event %d is caused by event %d", id, e.Cause)
				}
				cause := b.Event(e.Cause)
				if e.At().Before(cause.At()) {
					t.Fatalf("event %d at %v is caused by event %d at %v", id, e.At(), e.Cause, cause.At())
				}
				id, e = e.Cause, cause
			}
			longest = max(longest, length)
			if silent { // what a timer starts without a word has no cause
				continue
			}
			switch e.What {
			case engine.Enters:
				if k := b.Spec(e.ID); slices.Max(k.Then) == 0 {
					t.Fatalf("a chain of causes ends at a part of %s, which has no timer to start it", k.Name)
				}
			case engine.Forced, engine.Freed, engine.Nudged, engine.On, engine.Off, engine.Consumes:
			default:
				t.Fatalf("a chain of causes ends at %q, which is no stimulus", e.What)
			}
		}
	})
	if longest < 10 {
		t.Errorf("the longest chain of causes has %d events: too short to show anything", longest)
	}
}

// A snapshot brings back everything: what follows is the same as the first time, here and on a bench of its own.
func TestSnapshotBringsBack(t *testing.T) {
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		half := turns / 2
		run(t, b, half)
		s, sum, from := b.Snapshot(), b.Fingerprint(), engine.EventID(b.EventCount()+1)
		run(t, b, turns-half)
		want, end := eventsOf(b, from), b.Fingerprint()

		own := s.Bench() // its log is empty, so its events count from 1
		run(t, own, turns-half)
		var wantOwn []engine.Event
		for _, e := range want {
			if e.Cause < from {
				e.Cause = from - 1
			}
			e.Cause -= from - 1
			wantOwn = append(wantOwn, e)
		}
		if got := eventsOf(own, 1); !slices.Equal(wantOwn, got) || own.Fingerprint() != end {
			t.Fatalf("a bench made from a snapshot runs differently:\nwant %v\ngot  %v", wantOwn, got)
		}

		b.Restore(s)
		if b.Fingerprint() != sum {
			t.Fatal("restored, the bench has another fingerprint")
		}
		run(t, b, turns-half)
		if got := eventsOf(b, from); !slices.Equal(want, got) || b.Fingerprint() != end {
			t.Fatalf("a restored bench runs differently:\nfirst %v\nthen  %v", want, got)
		}
	})
}

// Going back n turns and forth again changes nothing.
func TestBackAndForth(t *testing.T) {
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		b.KeepHistory(true)
		instants := []engine.Instant{b.Now()}
		for range turns {
			run(t, b, 1)
			instants = append(instants, b.Now())
		}
		want, counters, sum := eventsOf(b, 1), b.Counters(), b.Fingerprint()
		dice := rand.New(rand.NewPCG(seed, 3))
		for range 4 {
			n := dice.IntN(turns + 1)
			if back, err := b.Back(int64(n)); err != nil || back != int64(n) {
				t.Fatalf("back(%d) = %d, %v", n, back, err)
			}
			if b.Turns() != int64(turns-n) {
				t.Fatalf("%d turns less %d make %d", turns, n, b.Turns())
			}
			if now := b.Now(); now != instants[turns-n] {
				t.Fatalf("back(%d): now %v, was %v", n, now, instants[turns-n])
			}
			if err := b.Check(); err != nil {
				t.Fatalf("back(%d): %v", n, err)
			}
			run(t, b, n)
			if got := eventsOf(b, 1); !slices.Equal(want, got) || b.Counters() != counters || b.Fingerprint() != sum {
				t.Fatalf("back and forth by %d turns of %d:\nfirst %v %+v\nthen  %v %+v", n, turns, want, counters, got, b.Counters())
			}
		}
	})
}

// What is placed and taken away again leaves no trace in the state. (Not with cords from conductor to
// conductor: those can hold a level of their own, like a latch, and a part in passing may switch it.)
func TestPlaceAndRemoveLeavesNoTrace(t *testing.T) {
	placed := 0
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		for _, c := range b.Cords() {
			b.Unpatch(c.From, c.To)
		}
		var endless *engine.EndlessNews
		if err := b.Run(t.Context(), engine.Budget{Turns: 1000, Ticks: int64(turns % 5)}); errors.As(err, &endless) {
			return // such a bench takes no edits
		}
		dice := rand.New(rand.NewPCG(seed, 4))
		m := maker{chooser: dice, box: engine.Cell{X: 5, Y: 5, Z: 3}, weight: themes[0]}
		sum := b.Fingerprint()
		for range 20 {
			spec := m.spec(m.kind())
			id, err := b.Place(m.cell(), spec)
			if err != nil {
				id, err = b.Shelve(spec)
			}
			if err != nil {
				continue
			}
			if err := b.Check(); err != nil {
				t.Fatalf("placed a %s: %v", spec.Kind, err)
			}
			if b.Fingerprint() == sum {
				t.Fatalf("a %s does not show in the fingerprint", spec.Kind)
			}
			if err := b.Remove(id); err != nil {
				t.Fatal(err)
			}
			if err := b.Check(); err != nil {
				t.Fatalf("removed a %s: %v", spec.Kind, err)
			}
			if b.Fingerprint() != sum {
				t.Fatalf("a %s placed and removed leaves a trace", spec.Kind)
			}
			placed++
		}
	})
	if placed == 0 {
		t.Error("nothing was placed")
	}
}

// With only some parts and cells recorded, the log is what is left of the full one, and a cause is the nearest
// recorded ancestor.
func TestRecordingSome(t *testing.T) {
	overSeeds(t, func(t *testing.T, seed uint64) {
		all, turns := setUp(t, seed)
		some := all.Snapshot().Bench()
		some.Record(engine.RecordSome)
		watched := map[engine.ID]bool{}
		dice := rand.New(rand.NewPCG(seed, 5))
		for id := range all.Parts() {
			if dice.IntN(2) == 0 {
				watched[id] = true
				some.Watch(engine.Target{ID: id})
			}
		}
		run(t, all, turns)
		run(t, some, turns)
		var want []engine.Event
		as := make([]engine.EventID, all.EventCount()+1) // what an event is in the shorter log: it, or its nearest recorded ancestor
		for id, e := range all.Events(1) {
			as[id] = as[e.Cause]
			if watched[e.ID] {
				e.Cause = as[e.Cause]
				want = append(want, e)
				as[id] = engine.EventID(len(want))
			}
		}
		if got := eventsOf(some, 1); !slices.Equal(want, got) {
			t.Fatalf("watching %v:\nwant %v\ngot  %v", watched, want, got)
		}
		if all.Counters() != some.Counters() {
			t.Fatalf("counters %+v, with everything recorded %+v", some.Counters(), all.Counters())
		}
	})
}

// The same bench gives the same log on every goroutine.
func TestSameLogOnEveryGoroutine(t *testing.T) {
	overSeeds(t, func(t *testing.T, seed uint64) {
		first, turns := setUp(t, seed)
		s := first.Snapshot()
		run(t, first, turns)
		want := eventsOf(first, 1)
		var all sync.WaitGroup
		logs := make([][]engine.Event, 4)
		for i := range logs {
			all.Go(func() {
				b := s.Bench()
				for range turns {
					b.Turn()
				}
				logs[i] = eventsOf(b, 1)
			})
		}
		all.Wait()
		for _, got := range logs {
			if !slices.Equal(want, got) {
				t.Fatalf("alone %v\nbeside others %v", want, got)
			}
		}
	})
}
