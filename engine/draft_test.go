package engine

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// beacon is a kind of one's own: told, it goes on in the next step while anything behind or beside it is live.
var beacon = func() *Spec {
	s, err := NewSpec(SpecDef{Name: "beacon", Letter: 'Q', Faces: true, States: []string{"off", "on", "tired"}, Says: []string{"off", "on", "tired"}, Pads: BackCell | SideCells,
		Hears: BackCell | FrontCell | SideCells, When: []int{NextStep, NextStep, 2}, Then: []int{0, 0, 3}, Feeds: []Feeds{{}, {What: FeedsFront, Level: 5}, {}}, Conducts: make([]bool, 3), Active: []bool{false, true, true}},
		func(l Look) (int, error) {
			switch live := l.Back || l.Sides > 0; {
			case l.State == 2:
				return 0, nil
			case l.State == 1 && !live:
				return 2, nil
			case live:
				return 1, nil
			}
			return l.State, nil
		})
	if err != nil {
		panic(err)
	}
	return s
}()

// draftPart is a part as a search would try one.
func draftPart(r *rand.Rand) Part {
	if r.IntN(9) == 0 {
		return Part{Kind: Told, Spec: beacon, Facing: Dir(r.IntN(6)), State: r.IntN(2)}
	}
	p := []Part{{Kind: Wire}, {Kind: Link}, {Kind: Link, Out: true}, {Kind: Gate, Op: Not, On: true}, {Kind: Gate, Op: Buf}, {Kind: Reed}, {Kind: Lamp}, {Kind: Battery}, {Kind: Jack},
		{Kind: Shuttle, Slug: Plug}, {Kind: Shuttle, Slug: Feed, Out: true}, {Kind: Delay}, {Kind: Echo}, {Kind: Oneshot}, {Kind: Tray, Tokens: 1}, {Kind: Bucket}, {Kind: Delay, Mode: Inertial}}[r.IntN(17)]
	p.Facing = Dir(r.IntN(6))
	return p
}

// TestDraft: whatever was put, tried and taken back before, a machine on a draft does what it does on a bench of its own, event for event.
func TestDraft(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	lo, hi := Cell{}, Cell{X: 2, Y: 1, Z: 1}
	d := NewDraft(DefaultRules(), lo, hi)
	empty := d.b.Fingerprint()
	type put struct {
		at Cell
		p  Part
	}
	var machine []put
	ran := 0
	for range 4000 {
		for len(machine) > 0 && r.IntN(3) > 0 {
			d.Back()
			machine = machine[:len(machine)-1]
		}
		for range r.IntN(5) {
			at, p := Cell{X: r.Int32N(3), Y: r.Int32N(2), Z: r.Int32N(2)}, draftPart(r)
			if _, err := d.Put(at, p); err == nil {
				machine = append(machine, put{at, p})
			}
		}
		own := New(DefaultRules())
		for _, m := range machine {
			if _, err := own.Place(m.at, m.p); err != nil {
				t.Fatalf("%v: on a bench of its own: %v", machine, err)
			}
		}
		if err := d.b.Check(); err != nil {
			t.Fatalf("%v: %v", machine, err)
		}
		d.Pose()
		for range 2 {
			own := own
			if ran%2 == 1 { // the first run has left it as it was: see below
				own = New(DefaultRules())
				for _, m := range machine {
					own.Place(m.at, m.p)
				}
			}
			fire := Firing{Steps: r.IntN(4), Late: r.IntN(2) == 0}
			for _, b := range []*Bench{own, d.b} {
				if err := b.Fire(Target{Cell: Cell{X: -1}}, fire); err != nil {
					t.Fatal(err)
				}
			}
			for k, last := 0, own.tick+20; k < 300 && own.ready(last); k++ {
				own.runReady()
			}
			d.Run(300, 20)
			a, b := fmt.Sprint(whatHappened(own)), fmt.Sprint(whatHappened(d.b))
			if a != b {
				t.Fatalf("%v, %v\non a bench of its own %s\non the draft %s", machine, fire, a, b)
			}
			ran++
			d.Again()
			if d.b.EventCount() != 0 || !d.Rested() || d.b.Check() != nil {
				t.Fatalf("%v: it does not stand as it did", machine)
			}
		}
	}
	for range machine {
		d.Back()
	}
	if d.b.Fingerprint() != empty || d.b.Len() != 0 {
		t.Error("something is left of what was taken back")
	}
}

// whatHappened are the events of a bench, by cell.
func whatHappened(b *Bench) (all []string) {
	for _, e := range b.Events(1) {
		c, _ := b.CellOf(e.ID)
		all = append(all, fmt.Sprint(e.Tick, e.Step, e.Turn, c, e.What, e.Arg, e.Cause))
	}
	return all
}

// draftBench is a draft with so many parts less one: a row of gates and wires.
func draftBench(parts int) (*Draft, Cell) {
	d := NewDraft(DefaultRules(), Cell{}, Cell{X: int32(parts)})
	for x := range int32(parts - 1) {
		p := Part{Kind: Wire}
		if x%2 == 1 {
			p = Part{Kind: Gate, Facing: PosX, Op: Buf, Pads: []Cell{{X: -1}}}
		}
		if _, err := d.Put(Cell{X: x}, p); err != nil {
			panic(err)
		}
	}
	return d, Cell{X: int32(parts - 1)}
}

// tryDraft puts one part, fires, runs and takes it back.
func tryDraft(d *Draft, at Cell, p Part) {
	if _, err := d.Put(at, p); err != nil {
		panic(err)
	}
	d.Pose()
	d.b.Fire(Target{Cell: Cell{}}, Firing{Steps: 2})
	d.Run(200, 20)
	d.Again()
	d.Back()
}

// TestDraftAllocates: no memory a candidate.
func TestDraftAllocates(t *testing.T) {
	d, at := draftBench(16)
	parts := []Part{{Kind: Wire}, {Kind: Link, Facing: PosY}, {Kind: Gate, Op: Not, On: true}, {Kind: Shuttle, Slug: Feed, Facing: PosX}, {Kind: Reed}, {Kind: Tray, Tokens: 1}}
	k := 0
	if n := testing.AllocsPerRun(1000, func() { tryDraft(d, at, parts[k%len(parts)]); k++ }); n != 0 {
		t.Errorf("%v allocations a candidate, want none", n)
	}
}

// BenchmarkDraft: candidates a second, a machine of so many parts of which one is another each time. Every second part is a gate, so that
// all of them act twice.
func BenchmarkDraft(b *testing.B) {
	for _, parts := range []int{8, 16, 32} {
		b.Run(fmt.Sprintf("parts=%d", parts), func(b *testing.B) {
			d, at := draftBench(parts)
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				tryDraft(d, at, Part{Kind: Gate, Facing: Dir(n % 6), Op: Buf})
				n++
			}
			b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "candidates/s")
		})
	}
}
