package engine_test

import (
	"testing"

	"pulsewright/engine"
)

// spans of the last change of a part.
func spans(b *engine.Bench, id engine.ID) []engine.Span { return b.Why(b.LastChange(id, 0)) }

// A row of gates fed by a key is one span: the gates from the last to the first, then the key.
func TestWhyFoldsARow(t *testing.T) {
	b, key := gateChain(25)
	check(b.Press(key, 0))
	check(b.Run(bg, engine.Budget{}))
	last := must(idAt(b, engine.Cell{X: 24}))
	got := spans(b, last)
	if len(got) != 2 {
		t.Fatalf("%+v; want the gates and the key", got)
	}
	if g := got[0]; g.N != 25 || b.Event(g.Last).ID != last || b.Event(g.First).Step != 1 || g.Ticks != 0 || g.Steps != 1 {
		t.Errorf("%+v; want 25 gates, one each step", g)
	}
	if e := b.Event(got[1].Last); e.ID != key || !b.Stimulus(e) {
		t.Errorf("the chain ends at %v", e)
	}
}

func idAt(b *engine.Bench, c engine.Cell) (engine.ID, error) {
	id, ok := b.PartAt(c)
	if !ok {
		return 0, engine.UnknownID(0)
	}
	return id, nil
}

// A gate that feeds itself goes on and off by turns; all of it is one repeated pattern.
func TestWhyFoldsARepetition(t *testing.T) {
	b := ring(1, 1)
	check(b.RunTicks(bg, 40, engine.Budget{}))
	last := engine.EventID(b.EventCount())
	got := b.Why(last)
	if len(got) > 5 {
		t.Fatalf("%d spans for 40 flips of one gate: %+v", len(got), got)
	}
	n, again := 0, 0
	for _, s := range got {
		n += s.N
		again += s.Times
	}
	if n != b.EventCount() || again == 0 {
		t.Errorf("%+v; want all %d events, folded", got, n)
	}
}

// ring is a ring of n gates, the last of which turns round, each with so many ticks, set off by a nudge.
func ring(n, ticks int) *engine.Bench {
	b := engine.New(engine.DefaultRules())
	ids := make([]engine.ID, n)
	for i := range ids {
		op := engine.Buf
		if i == n-1 {
			op = engine.Not
		}
		ids[i] = must(b.Shelve(engine.Part{Kind: engine.Gate, Op: op, Ticks: ticks}))
	}
	for i, id := range ids {
		check(b.Patch(id, ids[(i+1)%n], engine.Cord{Power: true, News: true}))
	}
	check(b.Nudge(engine.Target{ID: ids[n-1]}, false, 0))
	return b
}

// What a walk over the spans covers is the whole chain, on random benches too: no event twice, none left out.
func TestWhyCoversTheChain(t *testing.T) {
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		run(t, b, turns)
		for id := engine.EventID(b.EventCount()); id > 0; id -= min(id, 7) {
			length := 0
			var last engine.EventID
			for cid := range b.Causes(id) {
				length++
				last = cid
			}
			n := 0
			next := id
			for _, s := range b.Why(id) {
				if s.Last != next || s.First > s.Last || s.N < 1 {
					t.Fatalf("event %d: span %+v should begin at %d", id, s, next)
				}
				n += s.N
				next = b.Event(s.First).Cause
			}
			if n != length || next != b.Event(last).Cause {
				t.Fatalf("event %d: the spans have %d events and end before %d, the chain has %d and ends at %d", id, n, next, length, last)
			}
		}
	})
}

// A token and a slug change the cells they come to and leave, though the event is another part's.
func TestLastChange(t *testing.T) {
	b := engine.New(engine.DefaultRules())
	at := func(x, y, z int32) engine.Cell { return engine.Cell{X: x, Y: y, Z: z} }
	top := must(b.Place(at(0, 0, 1), engine.Part{Kind: engine.Bucket, Facing: engine.PosX, Tokens: 1}))
	under := must(b.Place(at(0, 0, 0), engine.Part{Kind: engine.Tray}))
	end := must(b.Place(at(2, 0, 0), engine.Part{Kind: engine.Tray}))
	chute := must(b.Place(at(1, 0, 0), engine.Part{Kind: engine.Chute, Facing: engine.PosX}))
	jack := must(b.Place(at(12, 0, 0), engine.Part{Kind: engine.Jack}))
	shuttle := must(b.Place(at(10, 0, 0), engine.Part{Kind: engine.Shuttle, Facing: engine.PosX, Slug: engine.Plug}))
	check(b.Nudge(engine.Target{ID: top}, false, 0))
	check(b.Fire(engine.Target{Cell: at(9, 0, 0)}, engine.Firing{Steps: 5}))
	check(b.Run(bg, engine.Budget{}))
	for _, c := range []struct {
		of, by engine.ID
		what   engine.What
	}{{end, chute, engine.Moves}, {under, chute, engine.Moves}, {top, top, engine.Drops}, {jack, shuttle, engine.Lands}} {
		e := b.Event(b.LastChange(c.of, 0))
		if e.ID != c.by || e.What != c.what {
			t.Errorf("%s: last change %s %s, want %s %s", b.Label(c.of), b.Label(e.ID), e.What, b.Label(c.by), c.what)
		}
	}
	if first := b.LastChange(under, b.LastChange(under, 0)); b.Event(first).What != engine.Drops {
		t.Errorf("before the chute took it, the token came by %v", b.Event(first))
	}
	quiet := must(b.Place(at(50, 0, 0), engine.Part{Kind: engine.Lamp}))
	if b.LastChange(quiet, 0) != 0 {
		t.Error("a lamp that never changed has a last change")
	}
}

func BenchmarkWhy(b *testing.B) {
	const n = 1_000_000
	row, key := gateChain(n)
	check(row.Press(key, 0))
	check(row.Run(bg, engine.Budget{Turns: 1 << 40}))
	flips := ring(1, 0)
	flips.Run(bg, engine.Budget{Turns: n})
	mixed := ring(41, 0) // no pattern short enough to fold
	mixed.Run(bg, engine.Budget{Turns: n})
	for _, c := range []struct {
		name string
		w    *engine.Bench
	}{{"row", row}, {"flips", flips}, {"ring", mixed}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if s := c.w.Why(engine.EventID(c.w.EventCount())); len(s) == 0 {
					b.Fatal("no chain")
				}
			}
		})
	}
}
