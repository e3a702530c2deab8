package engine_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"pulsewright/engine"
)

// stand is a bench under a test of whynot: parts by name.
type stand struct {
	t *testing.T
	*engine.Bench
}

func newStand(t *testing.T) stand {
	b := engine.New(engine.DefaultRules())
	b.KeepHistory(true)
	return stand{t, b}
}

func cell(x, y, z int32) engine.Cell { return engine.Cell{X: x, Y: y, Z: z} }

func (r stand) put(c engine.Cell, p engine.Part) engine.ID {
	r.t.Helper()
	id, err := r.Place(c, p)
	if err != nil {
		r.t.Fatal(err)
	}
	return id
}

func (r stand) fire(c engine.Cell, f engine.Firing) {
	r.t.Helper()
	if err := r.Fire(engine.Target{Cell: c}, f); err != nil {
		r.t.Fatal(err)
	}
}

func (r stand) run() {
	r.t.Helper()
	if err := r.Run(bg, engine.Budget{}); err != nil {
		r.t.Fatal(err)
	}
}

func (r stand) whyNot(id engine.ID) *engine.Still {
	r.t.Helper()
	since, _ := r.LastEdit()
	n, err := r.WhyNot(bg, id, since)
	if err != nil {
		r.t.Fatal(err)
	}
	return n
}

// One bench a reason.
func TestWhyNotReasons(t *testing.T) {
	link := engine.Part{Kind: engine.Link, Facing: engine.PosY}
	wire := engine.Part{Kind: engine.Wire}
	pulse := func(steps int) engine.Firing { return engine.Firing{Steps: steps} }
	for _, c := range []struct {
		name  string
		build func(r stand) engine.ID
		want  engine.Reason
		told  int
	}{
		{"acted", func(r stand) engine.ID {
			r.put(cell(0, 0, 0), wire)
			id := r.put(cell(1, 0, 0), link)
			r.fire(cell(0, 0, 0), pulse(5))
			r.run()
			return id
		}, engine.Acted, 4},
		{"queued", func(r stand) engine.ID {
			r.put(cell(0, 0, 0), wire)
			id := r.put(cell(1, 0, 0), link)
			r.fire(cell(0, 0, 0), pulse(5))
			r.Turn()
			return id
		}, engine.Waits, 2},
		{"timer", func(r stand) engine.ID {
			r.put(cell(0, 0, 0), engine.Part{Kind: engine.Key})
			id := r.put(cell(1, 0, 0), engine.Part{Kind: engine.Delay, Ticks: 9})
			key, _ := r.PartAt(cell(0, 0, 0))
			check(r.Press(key, 0))
			r.Turn()
			return id
		}, engine.Timed, 1},
		{"transit", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Shuttle, Slug: engine.Plug})
			r.fire(cell(-1, 0, 0), pulse(5))
			r.Step(bg, engine.Budget{})
			r.Step(bg, engine.Budget{})
			return id
		}, engine.Travels, 2}, // by the fired cell, and by the seat that its slug has left
		{"untold, armed", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), link)
			r.put(cell(0, -2, 0), wire) // its far pad
			r.fire(cell(0, -2, 0), engine.Firing{Ticks: 5})
			r.Step(bg, engine.Budget{})
			return id
		}, engine.Untold, 0},
		{"untold, without power", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), link)
			r.fire(cell(7, 0, 0), pulse(1))
			r.run()
			return id
		}, engine.Untold, 0},
		{"agreed", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), link)
			check(r.Nudge(engine.Target{ID: id}, false, 0))
			r.run()
			return id
		}, engine.Agreed, 1},
		{"lapsed", func(r stand) engine.ID {
			r.put(cell(0, 0, 0), wire)
			id := r.put(cell(1, 0, 0), link)
			r.fire(cell(0, 0, 0), pulse(1))
			r.run()
			return id
		}, engine.Lapsed, 4},
		{"blocked by a part", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Shuttle, Slug: engine.Plug})
			r.put(cell(2, 0, 0), engine.Part{Kind: engine.Lamp})
			r.fire(cell(-1, 0, 0), pulse(5))
			r.run()
			return id
		}, engine.InTheWay, 2},
		{"blocked by a slug", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Shuttle, Slug: engine.Plug})
			r.put(cell(3, 0, 0), engine.Part{Kind: engine.Shuttle, Slug: engine.Feed, Facing: engine.NegX})
			r.fire(cell(-1, 0, 0), pulse(5))
			r.run()
			return id
		}, engine.InTheWay, 2},
		{"unready", func(r stand) engine.ID {
			r.put(cell(0, 0, 0), engine.Part{Kind: engine.Battery})
			id := r.put(cell(1, 0, 0), engine.Part{Kind: engine.Oneshot, Ticks: 1})
			check(r.Nudge(engine.Target{ID: id}, false, 0))
			r.run()
			check(r.Nudge(engine.Target{ID: id}, false, 0))
			r.run()
			return id
		}, engine.Unready, 1},
		{"swallowed", func(r stand) engine.ID {
			id := r.put(cell(1, 0, 0), engine.Part{Kind: engine.Delay, Ticks: 5, Mode: engine.Inertial})
			r.fire(cell(0, 0, 0), engine.Firing{Ticks: 2})
			r.run()
			return id
		}, engine.Swallowed, 2},
		{"bucket without a token", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Bucket})
			r.put(cell(1, 0, 0), engine.Part{Kind: engine.Tray})
			r.fire(cell(-1, 0, 0), engine.Firing{Ticks: 9})
			r.Step(bg, engine.Budget{})
			return id
		}, engine.Empty, 1},
		{"bucket with no room in front", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Bucket, Tokens: 1})
			r.put(cell(1, 0, 0), engine.Part{Kind: engine.Bucket, Tokens: 1})
			r.fire(cell(-1, 0, 0), engine.Firing{Ticks: 9})
			r.Step(bg, engine.Budget{})
			return id
		}, engine.InTheWay, 1},
		{"bucket with no room under it when it would drop", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 1), engine.Part{Kind: engine.Bucket, Tokens: 1})
			r.put(cell(0, 0, 0), engine.Part{Kind: engine.Bucket, Tokens: 1})
			check(r.Nudge(engine.Target{ID: id}, false, 0))
			r.run()
			return id
		}, engine.InTheWay, 1},
		{"bucket with nothing under it", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 1), engine.Part{Kind: engine.Bucket, Tokens: 1})
			check(r.Nudge(engine.Target{ID: id}, false, 0))
			r.run()
			return id
		}, engine.NoHolder, 1},
		{"chute fed", func(r stand) engine.ID {
			id := chuteRig(r, 1, 0)
			r.put(cell(0, 1, 0), engine.Part{Kind: engine.Battery})
			return id
		}, engine.Fed, 0},
		{"chute without a token", func(r stand) engine.ID { return chuteRig(r, 0, 0) }, engine.Empty, 0},
		{"chute without room", func(r stand) engine.ID { return chuteRig(r, 1, 1) }, engine.InTheWay, 0},
		{"chute armed", func(r stand) engine.ID { return chuteRig(r, 1, 0) }, engine.Untold, 0},
		{"chute with nothing behind", func(r stand) engine.ID {
			return r.put(cell(0, 0, 0), engine.Part{Kind: engine.Chute})
		}, engine.NoHolder, 0},
		{"echo told from the side", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Echo})
			r.fire(cell(0, 1, 0), pulse(2))
			r.run()
			return id
		}, engine.Untold, 0},
		{"gate", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Gate, Op: engine.And})
			r.put(cell(-1, 0, 0), wire)
			r.put(cell(0, 1, 0), wire)
			r.fire(cell(0, 1, 0), pulse(2))
			r.run()
			return id
		}, engine.Agreed, 4},
		{"slow gate", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Gate, Op: engine.Or, Ticks: 3})
			r.put(cell(-1, 0, 0), wire)
			r.fire(cell(-1, 0, 0), pulse(2))
			r.run()
			return id
		}, engine.Lapsed, 4},
		{"reed", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Reed})
			check(r.Nudge(engine.Target{ID: id}, false, 0))
			r.run()
			return id
		}, engine.Agreed, 1},
		{"lamp", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Lamp})
			r.fire(cell(5, 0, 0), pulse(2))
			r.run()
			return id
		}, engine.Untold, 0},
		{"meter without a holder", func(r stand) engine.ID {
			id := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Meter})
			check(r.Nudge(engine.Target{ID: id}, false, 0))
			r.run()
			return id
		}, engine.NoHolder, 1},
		{"wire without a feed", func(r stand) engine.ID { return r.put(cell(0, 0, 0), wire) }, engine.Unfed, 0},
		{"wire out of reach", func(r stand) engine.ID {
			r.put(cell(-1, 0, 0), engine.Part{Kind: engine.Battery})
			var id engine.ID
			for x := range int32(25) {
				id = r.put(cell(x, 0, 0), wire)
			}
			return id
		}, engine.TooFar, 0},
		{"jack with a plug", func(r stand) engine.ID {
			id := r.put(cell(1, 0, 0), engine.Part{Kind: engine.Jack})
			r.put(cell(0, 0, 0), engine.Part{Kind: engine.Shuttle, Slug: engine.Plug})
			return id
		}, engine.Opened, 0},
		{"battery", func(r stand) engine.ID { return r.put(cell(0, 0, 0), engine.Part{Kind: engine.Battery}) }, engine.Deaf, 0},
		{"key", func(r stand) engine.ID { return r.put(cell(0, 0, 0), engine.Part{Kind: engine.Key}) }, engine.Untold, 0},
		{"tray", func(r stand) engine.ID { return r.put(cell(0, 0, 0), engine.Part{Kind: engine.Tray}) }, engine.Empty, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newStand(t)
			id := c.build(r)
			sum, events, turns := r.Fingerprint(), r.EventCount(), r.Turns()
			n := r.whyNot(id)
			if n.Reason != c.want || c.told > 0 && n.Told != c.told {
				t.Errorf("%q, told %d times; want %q, told %d times\n%+v", n.Reason, n.Told, c.want, c.told, n)
			}
			if r.Fingerprint() != sum || r.EventCount() != events || r.Turns() != turns || r.Check() != nil {
				t.Error("looking changed the bench")
			}
		})
	}
}

// chuteRig is a chute between two trays.
func chuteRig(r stand, behind, front int) engine.ID {
	r.put(cell(-1, 0, 0), engine.Part{Kind: engine.Tray, Tokens: behind})
	r.put(cell(1, 0, 0), engine.Part{Kind: engine.Tray, Tokens: front})
	return r.put(cell(0, 0, 0), engine.Part{Kind: engine.Chute})
}

// Of a lapse: what took the power, and how many turns before.
func TestWhyNotSaysWhatTookThePower(t *testing.T) {
	r := newStand(t)
	var last engine.ID
	for x := range int32(4) {
		last = r.put(cell(x, 0, 0), engine.Part{Kind: engine.Link, Facing: engine.PosY})
	}
	// A bank of armed links as in the medium's check values: a pulse of 3 steps moves the first two.
	r.put(cell(0, -2, 0), engine.Part{Kind: engine.Wire})
	for x := int32(1); x < 4; x++ {
		r.put(cell(x, -2, 0), engine.Part{Kind: engine.Wire})
	}
	r.put(cell(0, -1, 0), engine.Part{Kind: engine.Wire})
	r.fire(cell(0, -2, 0), engine.Firing{Steps: 3})
	r.run()
	third := must(idAt(r.Bench, cell(2, 0, 0)))
	n := r.whyNot(third)
	if n.Reason != engine.Lapsed || n.Took == nil {
		t.Fatalf("%+v", n)
	}
	if e := r.Event(n.Took.By); e.What != engine.Dead || e.At() != n.Took.At || n.Earlier != 1 {
		t.Errorf("taken by %v, %d turns before; want the wire that went dead, one turn before", e, n.Earlier)
	}
	if n := r.whyNot(last); n.Reason != engine.Untold || n.Told != 0 || len(n.Swings) != 2 {
		t.Errorf("the last link: %+v; want untold, with power for a while", n)
	}
	if n := r.whyNot(last); len(n.Tellers) != 1 || n.Tellers[0] != third {
		t.Errorf("the last link would have been told by %v", n.Tellers)
	}
}

// Who would have to tell a part: what hears it and changes, not what stands beside it.
func TestTellers(t *testing.T) {
	r := newStand(t)
	chute := r.put(cell(0, 0, 0), engine.Part{Kind: engine.Chute})
	front := r.put(cell(1, 0, 0), engine.Part{Kind: engine.Bucket})
	back := r.put(cell(-1, 0, 0), engine.Part{Kind: engine.Tray})
	r.put(cell(0, 1, 0), engine.Part{Kind: engine.Bucket})
	r.put(cell(0, -1, 0), engine.Part{Kind: engine.Battery})
	wire := r.put(cell(0, 0, 1), engine.Part{Kind: engine.Wire})
	lamp := r.put(cell(0, 0, 2), engine.Part{Kind: engine.Lamp})
	link := must(r.Shelve(engine.Part{Kind: engine.Link}))
	check(r.Patch(lamp, link, engine.Cord{News: true}))
	check(r.Patch(wire, link, engine.Cord{Power: true}))
	echo := r.put(cell(1, 0, 1), engine.Part{Kind: engine.Echo, Facing: engine.NegX})
	for _, c := range []struct {
		of   engine.ID
		want []engine.ID
	}{{chute, []engine.ID{front, back, wire}}, {lamp, []engine.ID{wire}}, {link, []engine.ID{lamp}}, {echo, nil}, {wire, nil}} {
		if got := r.Tellers(c.of); !slices.Equal(got, c.want) {
			t.Errorf("%s is told by %v, want %v", r.Label(c.of), got, c.want)
		}
	}
}

// An interval that the history does not reach, or none at all, is said to be unknown.
func TestWhyNotWithoutHistory(t *testing.T) {
	b := engine.New(engine.DefaultRules())
	id := must(b.Place(cell(0, 0, 0), engine.Part{Kind: engine.Link}))
	check(b.Fire(engine.Target{Cell: cell(5, 0, 0)}, engine.Firing{Steps: 1}))
	check(b.Run(bg, engine.Budget{}))
	n := must(b.WhyNot(bg, id, engine.Instant{}))
	if n.Known || n.Reason != engine.Unknown {
		t.Errorf("%+v", n)
	}
	must(b.Place(cell(-1, 0, 0), engine.Part{Kind: engine.Battery}))
	if n := must(b.WhyNot(bg, id, engine.Instant{})); n.Reason != engine.Untold {
		t.Errorf("armed, and still %q", n.Reason)
	}
	if _, err := b.WhyNot(bg, 99, engine.Instant{}); !errors.As(err, new(engine.UnknownID)) {
		t.Error(err)
	}
	long := ring(1, 0)
	long.KeepHistory(true)
	long.Run(bg, engine.Budget{Turns: 100_000})
	ctx, cancel := context.WithCancel(bg)
	cancel()
	if _, err := long.WhyNot(ctx, 1, engine.Instant{}); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled look: %v", err)
	}
}

// On random benches: a part that never acted was never told with its power calling for it and nothing in its way; each
// hearing has a cause that is an event before it; and looking changes nothing.
func TestWhyNotOnRandomBenches(t *testing.T) {
	seen := map[engine.Reason]int{}
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		b.KeepHistory(true)
		run(t, b, turns)
		sum, events, counters := b.Fingerprint(), b.EventCount(), b.Counters()
		dice := rand.New(rand.NewPCG(seed, 8))
		for id := range b.Parts() {
			if dice.IntN(3) > 0 {
				continue
			}
			since := engine.Instant{}
			if events > 0 && dice.IntN(2) == 0 {
				since = b.Event(engine.EventID(dice.IntN(events) + 1)).At()
			}
			n, err := b.WhyNot(bg, id, since)
			if err != nil {
				t.Fatal(err)
			}
			seen[n.Reason]++
			if !n.Known {
				t.Fatalf("%s: the history does not reach back to %v", b.Label(id), since)
			}
			var own []engine.EventID
			for eid, e := range b.Events(1) {
				if e.ID == id && since.Before(e.At()) {
					own = append(own, eid)
				}
			}
			if len(own) != len(n.Events) {
				t.Fatalf("%s: %d events since %v, found %d", b.Label(id), len(own), since, len(n.Events))
			}
			for i := range own {
				if own[i] != n.Events[i] {
					t.Fatalf("%s: event %d, found %d", b.Label(id), own[i], n.Events[i])
				}
			}
			set := 0
			for _, h := range n.Heard {
				if h.Cause == 0 && timedSilently(b) { // posed, and looking by itself after some ticks, it changed what tells
					continue
				}
				if c := b.Event(h.Cause); h.Cause == 0 || h.At.Before(c.At()) || !since.Before(h.At) {
					t.Fatalf("%s: heard at %v of event %d at %v", b.Label(id), h.At, h.Cause, c.At())
				}
				if h.Found == engine.Acted {
					set++
				}
			}
			if n.Reason == 0 || n.Reason == engine.Unknown {
				t.Fatalf("%s: reason %d", b.Label(id), n.Reason)
			}
			if k := b.KindOf(id); n.Reason == engine.Agreed && set > 0 && k != engine.Bucket {
				t.Fatalf("%s (%s): it is said to have agreed, yet %d times it was set off", b.Label(id), k, set)
			}
		}
		if b.Fingerprint() != sum || b.EventCount() != events || b.Counters() != counters {
			t.Fatal("looking changed the bench")
		}
		if err := b.Check(); err != nil {
			t.Fatal(err)
		}
	})
	for r := engine.Acted; r < engine.Unknown; r++ {
		t.Logf("%10s %d", r, seen[r])
	}
}

// silent reports whether a part on the bench may change without an event.
func silent(b *engine.Bench) bool {
	for _, k := range b.Specs() {
		if slices.Contains(k.Says, "") {
			return true
		}
	}
	return false
}

func BenchmarkWhyNot(b *testing.B) {
	w := ring(2, 0)
	w.KeepHistory(true)
	id := must(w.Place(cell(0, 0, 0), engine.Part{Kind: engine.Lamp}))
	w.Run(bg, engine.Budget{Turns: 1_000_000})
	for b.Loop() {
		if n := must(w.WhyNot(bg, id, engine.Instant{})); n.Told != 0 {
			b.Fatal(n)
		}
	}
}
