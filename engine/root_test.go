package engine

import (
	"context"
	"slices"
	"testing"
)

// rootBench has a key that leads over a link and a delay to a lamp, all told by cords, and a wire beside it.
func rootBench(t *testing.T, r Recording) (b *Bench, key, lamp ID) {
	t.Helper()
	b = New(DefaultRules())
	place := func(at Cell, p Part) ID {
		id, err := b.Place(at, p)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	key = place(Cell{X: 0, Y: 0, Z: 0}, Part{Kind: Key, Hold: 3})
	link := place(Cell{X: 5, Y: 0, Z: 0}, Part{Kind: Link, Facing: PosX})
	delay := place(Cell{X: 10, Y: 0, Z: 0}, Part{Kind: Delay, Facing: PosX, Ticks: 2})
	lamp = place(Cell{X: 15, Y: 0, Z: 0}, Part{Kind: Lamp})
	for _, c := range [][2]ID{{key, link}, {link, delay}, {delay, lamp}} {
		if err := b.Patch(c[0], c[1], Cord{Power: true, News: true}); err != nil {
			t.Fatal(err)
		}
	}
	b.Record(r)
	if err := b.Watch(Target{ID: lamp}); err != nil {
		t.Fatal(err)
	}
	return b, key, lamp
}

// TestRoot: every event leads back to the mark of its stimulus, whatever of the chain is recorded, and nobody sees the mark
// as a cause.
func TestRoot(t *testing.T) {
	for _, r := range []Recording{RecordAll, RecordSome} {
		b, key, lamp := rootBench(t, r)
		for mark := 1; mark <= 3; mark++ {
			b.Mark(mark)
			if err := b.Press(key, 0); err != nil {
				t.Fatal(err)
			}
			if err := b.Run(context.Background(), Budget{}); err != nil {
				t.Fatal(err)
			}
		}
		b.Mark(0)
		if err := b.Press(key, 0); err != nil {
			t.Fatal(err)
		}
		if err := b.Run(context.Background(), Budget{}); err != nil {
			t.Fatal(err)
		}
		lit := 0
		for id, e := range b.Events(1) {
			if e.ID == lamp && e.What == Lit {
				lit++
			}
			if want := lit; e.ID == lamp && b.Root(id) != want%4 {
				t.Errorf("recording %d: event %d leads to %d, want %d", r, id, b.Root(id), want%4)
			}
			if e.Cause >= id {
				t.Errorf("recording %d: event %d has cause %d", r, id, e.Cause)
			}
		}
		if lit != 4 {
			t.Fatalf("lit %d times", lit)
		}
	}
}

// TestForgetOthers: what stays is what leads back to the mark, in its order, and its causes are still its causes.
func TestForgetOthers(t *testing.T) {
	b, key, lamp := rootBench(t, RecordAll)
	for mark := 1; mark <= 300; mark++ { // more events than a block of the log holds
		b.Mark(mark)
		if err := b.Press(key, 0); err != nil {
			t.Fatal(err)
		}
		if err := b.Run(context.Background(), Budget{}); err != nil {
			t.Fatal(err)
		}
	}
	full := b.Snapshot()
	for _, mark := range []int{1, 150, 300, 301} {
		b.Restore(full)
		all := b.EventCount()
		were := b.ForgetOthers(mark)
		if len(were) != b.EventCount() {
			t.Fatalf("mark %d: %d numbers for %d events", mark, len(were), b.EventCount())
		}
		lit := 0
		got := map[EventID]Event{}
		for id, e := range b.Events(1) {
			got[id] = e
			if e.ID == lamp && e.What == Lit {
				lit++
			}
			if b.Root(id) != mark || e.Cause >= id {
				t.Errorf("mark %d: event %d leads to %d, cause %d", mark, id, b.Root(id), e.Cause)
			}
		}
		if want := map[bool]int{true: 1, false: 0}[mark <= 300]; lit != want {
			t.Errorf("mark %d: lit %d times, want %d", mark, lit, want)
		}
		b.Restore(full)
		sifted, back := b.Sift(mark)
		for id, e := range b.Events(1) {
			if e != got[id] {
				t.Errorf("mark %d: sifted, event %d is %v, want %v", mark, id, e, got[id])
			}
		}
		if b.EventCount() != len(got) || !slices.Equal(sifted, were) {
			t.Errorf("mark %d: sifted, %d events are left, %v; want %d, %v", mark, b.EventCount(), sifted, len(got), were)
		}
		if err := b.Press(key, 0); err != nil {
			t.Fatal(err)
		}
		if err := b.Run(context.Background(), Budget{}); err == nil {
			t.Error("time passes on a sifted log")
		}
		if !back() {
			t.Error("nothing was refused")
		}
		_, back = b.Sift(mark)
		if back() {
			t.Error("something was refused")
		}
		if b.EventCount() != all {
			t.Fatalf("mark %d: %d events came back of %d", mark, b.EventCount(), all)
		}
		b.Restore(full)
		if b.EventCount() != all {
			t.Fatalf("the snapshot lost events: %d of %d", b.EventCount(), all)
		}
		for k, id := range were {
			was, is := b.Event(id), got[EventID(k+1)]
			if was.Cause != 0 {
				was.Cause = were[is.Cause-1]
				if c := b.Event(id).Cause; c != was.Cause {
					t.Errorf("mark %d: event %d was caused by %d, now by %d", mark, id, c, was.Cause)
				}
				was.Cause = is.Cause
			}
			if was != is {
				t.Errorf("mark %d: event %d is %v, was %v", mark, k+1, is, was)
			}
		}
	}
}
