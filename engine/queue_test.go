package engine

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// waits is a timer in the plain list that the wheel is compared with.
type waits struct {
	tick int64
	arg  uint32 // the order in which they were set
}

// TestWheelAgainstAList: timers come due in the order of their ticks, those of one tick in the order in which they were
// set, however far off they were. The list is sorted anew every time; the wheel must give the same.
func TestWheelAgainstAList(t *testing.T) {
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 1))
		b := New(DefaultRules())
		var list []waits
		var set uint32
		for range 300 {
			for range rng.IntN(6) {
				off := 1 + rng.Int64N([]int64{3, 255, 257, 2000}[rng.IntN(4)])
				b.setTimer(timer{arg: set, what: tPart}, off)
				list = append(list, waits{b.tick + off, set})
				set++
			}
			next, ok := b.nextTick()
			if !ok {
				if len(list) > 0 {
					t.Fatalf("seed %d: no tick is next, but %d timers wait", seed, len(list))
				}
				continue
			}
			slices.SortFunc(list, func(x, y waits) int {
				if x.tick != y.tick {
					return int(x.tick - y.tick)
				}
				return int(x.arg) - int(y.arg)
			})
			if next != list[0].tick {
				t.Fatalf("seed %d: tick %d is next, want %d", seed, next, list[0].tick)
			}
			b.tick = next
			b.takeDue(next)
			var got, want []uint32
			for _, d := range b.due {
				got = append(got, d.arg)
			}
			for len(list) > 0 && list[0].tick == next {
				want = append(want, list[0].arg)
				list = list[1:]
			}
			if !slices.Equal(got, want) {
				t.Fatalf("seed %d, tick %d: due are %v, want %v", seed, next, got, want)
			}
			b.due, b.dueHead = b.due[:0], 0
		}
	}
}

// TestQueueOrder: within a step early edges come first, then the acts in the order queued, then late edges; what is queued
// meanwhile waits for the next step.
func TestQueueOrder(t *testing.T) {
	b := New(DefaultRules())
	place := func(x int32, p Part) ID {
		t.Helper()
		id, err := b.Place(Cell{X: x}, p)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	// Each of the gates is told by the wire's edge and by nobody else; each queues one act.
	hub := place(0, Part{Kind: Wire})
	var gates []ID
	for x := range int32(4) {
		g := place(10*(x+1), Part{Kind: Gate, Op: Buf})
		if err := b.Patch(hub, g, Cord{Power: true, News: true}); err != nil {
			t.Fatal(err)
		}
		gates = append(gates, g)
	}
	chained := place(100, Part{Kind: Gate, Op: Buf})
	if err := b.Patch(gates[1], chained, Cord{Power: true, News: true}); err != nil {
		t.Fatal(err)
	}
	for _, s := range []Firing{{Steps: 5}, {Steps: 1, Late: true}, {Steps: 1}} {
		x := map[int]int32{5: 0, 1: 200}[s.Steps]
		if s.Late {
			x = 300
		}
		if err := b.Fire(Target{Cell: Cell{X: x}}, s); err != nil {
			t.Fatal(err)
		}
	}
	var got []string
	for len(got) < 10 {
		from := b.n
		ok, err := b.Turn()
		if err != nil {
			t.Fatal(err)
		}
		if !ok {
			break
		}
		for i := from + 1; i <= b.n; i++ {
			if e := b.Event(EventID(i)); e.What != Live && e.What != Dead {
				got = append(got, b.at.String()+" "+b.place(b.things[e.ID].site)+" "+e.What.String())
			}
		}
	}
	want := []string{
		"1.0.0 (0, 0) forced", "1.0.1 (300, 0) forced", "1.0.2 (200, 0) forced",
		"1.1.0 (200, 0) freed", "1.1.1 (10, 0) on", "1.1.2 (20, 0) on", "1.1.3 (30, 0) on", "1.1.4 (40, 0) on", "1.1.5 (300, 0) freed",
		"1.2.0 (100, 0) on",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
}
