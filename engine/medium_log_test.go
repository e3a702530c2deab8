package engine_test

import (
	"slices"
	"testing"

	"pulsewright/engine"
)

// TestCauses: every event knows the event that told the part, queued the act or set the timer, so
// that a chain of causes leads back to a stimulus, which has none.
func TestCauses(t *testing.T) {
	b := sketch(t, `
		k: key (-1,0)
		s: shuttle (0,0) +x feed
		w: wire (2,1)
		d: delay (3,1) +x ticks=4
		g: gate not
		   cord d g
		a: lamp
		   cord g a invert`)
	do(t, b, "press k")
	var last engine.EventID
	for id, e := range b.Events(1) {
		if e.Cause >= id {
			t.Errorf("event %d is caused by event %d", id, e.Cause)
		}
		if b.Thing(e.ID).Name == "d" {
			last = id
		}
	}
	var chain []string
	for id := last; id != 0; id = b.Event(id).Cause {
		chain = append(chain, b.Event(id).At().String()+" "+whoWhat(b, b.Event(id)))
	}
	want := []string{"7.0.0 d on", "3.0.0 w live", "3.0.0 s lands", "1.1.0 s out", "1.0.0 k on"}
	if !slices.Equal(chain, want) {
		t.Errorf("chain of causes %q, want %q", chain, want)
	}
}

// TestNearestRecordedCause: while only chosen parts are recorded, the cause of an event is its
// nearest ancestor that is recorded.
func TestNearestRecordedCause(t *testing.T) {
	const line = `
		k:  key (0,0)
		    battery (1,-2)
		    wire (2,-2)..(5,-2)
		l1: link (1,0) +y
		l2: link (2,0) +y
		l3: link (3,0) +y
		l4: link (4,0) +y`
	b := sketch(t, line)
	b.Record(engine.RecordSome)
	for _, name := range []string{"l2", "l4"} {
		b.Watch(engine.Target{ID: part(t, b, name)})
	}
	do(t, b, "press k")
	if got, want := story(b), "1.2.0 l2 out\n1.4.0 l4 out < l2 out"; got != want {
		t.Errorf("the log is\n%s\nwant\n%s", got, want)
	}

	none := sketch(t, line)
	none.Record(engine.RecordNone)
	do(t, none, "press k")
	if none.EventCount() != 0 || none.Fingerprint() != b.Fingerprint() {
		t.Errorf("unrecorded: %d events, states equal: %v", none.EventCount(), none.Fingerprint() == b.Fingerprint())
	}
}

// TestCounters counts by hand.
func TestCounters(t *testing.T) {
	b := sketch(t, `
		k: key (0,0)
		   wire (1,0)..(2,0)
		a: lamp (3,0)
		l: link (0,1) +y
		r: reed (0,-1) +x
		d: delay (-1,0) -x ticks=2`)
	do(t, b, "press k")
	// Tick 1: k tells d, l and r; the wires change and the last tells a: four hear. r flips and
	// tells nobody that hears. l acts and tells nobody. Tick 3: d's timer; its neighbours are k and nothing.
	want := engine.Counters{Turns: 3, News: 4, Levels: 2, Acts: 1, Reeds: 1, Timers: 1, PeakNews: 4}
	if got := b.Counters(); got != want {
		t.Errorf("counters %+v, want %+v", got, want)
	}
	costs := b.TickCosts()
	if len(costs) != 2 || costs[0].Tick != 1 || costs[1].Tick != 3 || costs[0].News != 4 || costs[1].Timers != 1 || costs[0].Turns != 2 {
		t.Errorf("costs %+v", costs)
	}

	c := sketch(t, `
		l: link (1,0) +x
		x: gate buf (0,1) +y
		s: shuttle (0,-1) -y feed
		   lamp (0,-3)`)
	do(t, c, "fire (0,0) steps=1")
	// l, x and s hear twice each; all lapse in step 1, as the edge falls early.
	if got, want := c.Counters(), (engine.Counters{Turns: 5, News: 6, Acts: 3, Lapses: 3, PeakNews: 6}); got != want {
		t.Errorf("counters %+v, want %+v", got, want)
	}
}

// TestSameEvents: the same bench, rules and stimuli give the same events, in every run.
func TestSameEvents(t *testing.T) {
	n := loadNetwork(t, "random_free_7")
	var first []edge
	for range 20 {
		es := n.edges(t, rules(byTurn), nil)
		if first == nil {
			first = es
		}
		if !slices.Equal(es, first) {
			t.Fatal("two runs differ")
		}
	}
}
