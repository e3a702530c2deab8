package engine_test

import (
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"pulsewright/engine"
)

// TestWhyNotIsTrue holds what WhyNot says of the past against what was seen while it happened, and what State says of a part at
// rest against what a nudge does.
func TestWhyNotIsTrue(t *testing.T) {
	reasons := map[engine.Reason]int{}
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		b.KeepHistory(true)
		type hearing struct {
			at    engine.Instant
			calls bool
		}
		heard := map[engine.ID][]hearing{}
		b.OnHearing(func(id engine.ID, calls bool) { heard[id] = append(heard[id], hearing{b.Now(), calls}) })
		power := map[engine.Instant]map[engine.ID]bool{} // after each turn
		dice := rand.New(rand.NewPCG(seed, 9))
		if dice.IntN(2) == 0 {
			turns = dice.IntN(turns + 1) // in the midst of it
		}
		for range turns {
			if ok, err := b.Turn(); !ok || err != nil {
				t.Fatal(ok, err)
			}
			power[b.Now()] = map[engine.ID]bool{}
			for id := range b.Parts() {
				power[b.Now()][id] = b.Calls(id)
			}
		}
		for id := range b.Parts() {
			if dice.IntN(2) > 0 {
				continue
			}
			since := engine.Instant{}
			if n := b.EventCount(); n > 0 && dice.IntN(2) == 0 {
				since = b.Event(engine.EventID(dice.IntN(n) + 1)).At()
			}
			n := must(b.WhyNot(bg, id, since))
			reasons[n.Reason]++
			var told []hearing
			for _, h := range heard[id] {
				if since.Before(h.at) {
					told = append(told, h)
				}
			}
			fail := func(what string) {
				t.Helper()
				t.Fatalf("%s since %v, %q: %s\n%+v\nheard %v", b.Label(id), since, n.Reason, what, n, told)
			}
			if n.Told != len(told) || len(n.Heard) != len(told) {
				fail("it was told otherwise")
			}
			for i, h := range n.Heard {
				if h.At != told[i].at || h.Powered != told[i].calls {
					fail("it heard otherwise")
				}
			}
			for _, s := range n.Swings {
				if got, ok := power[s.At][id]; ok && got != s.Powered {
					fail("its power did not change so")
				}
			}
			switch kind := b.KindOf(id); {
			case n.Reason == engine.Untold && n.State.Armed && kind != engine.Chute && n.Took != nil:
				for _, h := range told {
					if n.Took.At.Before(h.at) && h.calls == n.Took.Powered {
						fail("it was told after it was armed")
					}
				}
			case n.Reason == engine.Untold && !n.State.Armed && kind != engine.Key && len(told) > 0:
				fail("it was told")
			case n.Reason == engine.Agreed && (len(n.Events) > 0 && !onlyDoneTo(b, n.Events) || len(told) == 0):
				fail("it acted, or was never told")
			case n.Reason == engine.Waits && !b.State(id).Queued, n.Reason == engine.Travels && !b.State(id).Transit, n.Reason == engine.Timed && n.Due < b.Now().Tick:
				fail("nothing is on its way")
			case n.Reason == engine.Fed && kind == engine.Chute && !n.State.Powered, n.Reason == engine.Unfed && n.State.On:
				fail("it is not so")
			case n.Hit != nil && kind == engine.Bucket && n.Reason == engine.Timed && (n.Hit.Powered || n.Hit.Cause != n.Event):
				fail("it was fed when it was told what set its timer")
			case n.Hit != nil && kind == engine.Bucket && n.Reason != engine.Timed && n.Hit.Powered != told[len(told)-1].calls:
				fail("it was not fed so when it was told last")
			}
			comes(t, b, n)
		}
		if b.Quiet() {
			armedIsSetOff(t, b)
		}
	})
	for r := engine.Acted; r < engine.Unknown; r++ {
		t.Logf("%10s %d", r, reasons[r])
	}
}

// onlyDoneTo reports whether a part's events are what was done to it, or slugs that came to rest.
func onlyDoneTo(b *engine.Bench, ids []engine.EventID) bool {
	for _, id := range ids {
		switch b.Event(id).What {
		case engine.Forced, engine.Freed, engine.Nudged, engine.Lands:
		default:
			return false
		}
	}
	return true
}

// comes runs on, on a copy, to what is said to come: an act in its step, a slug in its tick.
func comes(t *testing.T, b *engine.Bench, n *engine.Still) {
	t.Helper()
	if n.Reason != engine.Waits && n.Reason != engine.Travels {
		return
	}
	c := b.Snapshot().Bench()
	c.Record(engine.RecordAll)
	was := c.State(n.ID).Named
	for range 500 {
		from := engine.EventID(c.EventCount() + 1)
		if ok, err := c.Turn(); !ok || err != nil {
			break
		}
		if now := c.State(n.ID).Named; n.Reason == engine.Waits && now != was && silent(b) && !enters(c, from, n.ID) { // an act without an event
			if c.State(n.ID).Queued && slices.Max(c.Spec(n.ID).Then) > 0 && c.Now().Step < n.Step {
				was = now // it looked by itself, and its act is still to come
				continue
			}
			if c.Now().Step != n.Step {
				t.Fatalf("%s, %q: it is said to come in step %d, and is %s at %v", b.Label(n.ID), n.Reason, n.Step, now, c.Now())
			}
			return
		}
		for id := engine.EventID(c.EventCount()); id > 0; id-- {
			e := c.Event(id)
			if e.At() != c.Now() || e.ID != n.ID {
				continue
			}
			switch {
			case e.What == engine.Forced, e.What == engine.Freed, e.What == engine.Nudged:
				continue
			case e.What == engine.Live, e.What == engine.Dead:
				continue // of one that conducts: that is no act
			case e.What == engine.Enters && c.State(n.ID).Queued && slices.Max(c.Spec(n.ID).Then) > 0 && int(e.Step) < n.Step:
				continue // it looked by itself, and its act is still to come
			case n.Reason == engine.Waits && int(e.Step) != n.Step, n.Reason == engine.Travels && (e.What != engine.Lands || e.Tick != n.Due):
				t.Fatalf("%s, %q: it is said to come in step %d or tick %d, and there is %v at %v", b.Label(n.ID), n.Reason, n.Step, n.Due, e.What, e.At())
			}
			return
		}
	}
}

// enters reports whether a part has entered a state with an event, from an event on.
func enters(b *engine.Bench, from engine.EventID, id engine.ID) bool {
	for _, e := range b.Events(from) {
		if e.ID == id && e.What == engine.Enters {
			return true
		}
	}
	return false
}

// toldIsArmed: nothing of it on its way, a part of a told kind is armed if its table, asked with what ties say it reads, has another state for one who may tell it.
func toldIsArmed(t *testing.T, b *engine.Bench, id engine.ID) {
	t.Helper()
	s, spec, thing := b.State(id), b.Spec(id), b.Thing(id)
	l := engine.Look{State: s.Told, Forced: s.Forced}
	for _, p := range b.Pads(id) {
		if !p.Live {
			continue
		}
		off := p.Cell.Sub(thing.Cell)
		front := thing.Facing.Cell()
		back := engine.Cell{}.Sub(front)
		switch {
		case !spec.Faces:
			l.Around++
		case off == front:
			l.Front = true
		case off == back:
			l.Back = true
		case off == front.Add(front):
			l.FarFront = true
		case off == back.Add(back):
			l.FarBack = true
		default:
			l.Sides++
		}
	}
	for _, c := range b.CordsOf(id) {
		if c.Live && c.To == id {
			l.Cords++
		}
	}
	want := false
	for _, l.Told = range spec.HeardBy() {
		want = want || spec.Wants(l) != s.Told
	}
	if want = want && !s.Queued && !s.Timer; want != s.Armed {
		t.Fatalf("%s is armed: %v; its table says %v of %+v\n%+v", b.Label(id), s.Armed, want, l, s)
	}
}

// armedIsSetOff: at rest, a part is armed if and only if a nudge sets it off.
func armedIsSetOff(t *testing.T, b *engine.Bench) {
	t.Helper()
	quick := 0 // parts that tell at once: two may tell each other for ever
	for id := range b.Parts() {
		if k := b.KindOf(id); k == engine.Reed || k == engine.Oneshot || k == engine.Told && slices.Contains(b.Spec(id).When, engine.Now) {
			quick++
		}
	}
	for id := range b.Parts() {
		kind := b.KindOf(id)
		switch kind {
		case engine.Reed, engine.Oneshot:
			if quick > 1 {
				continue
			}
		case engine.Battery, engine.Key, engine.Wire, engine.Jack, engine.Tray, engine.Bucket, engine.Echo:
			continue // they have no state that power calls for
		case engine.Delay:
			if b.Thing(id).Mode != engine.Stretch {
				continue // what they have taken over is not to be seen
			}
		case engine.Told:
			toldIsArmed(t, b, id)
			continue
		}
		was := b.State(id)
		c := b.Snapshot().Bench()
		c.Record(engine.RecordAll)
		check(c.Nudge(engine.Target{ID: id}, false, 0))
		ok, err := c.Turn()
		endless := errors.As(err, new(*engine.EndlessNews)) // that is more than nothing
		if !ok || err != nil && !endless {
			t.Fatal(ok, err)
		}
		now := c.State(id)
		if off := endless || now.Queued || now.Timer && !was.Timer || now.On != was.On || now.Level != was.Level; off != was.Armed {
			t.Fatalf("%s is armed: %v; told, it is set off: %v\n%+v\n%+v", b.Label(id), was.Armed, off, was, now)
		}
	}
}
