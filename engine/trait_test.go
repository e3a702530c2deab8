package engine

import (
	"context"
	"fmt"
	"slices"
	"testing"
)

// TestTraits holds the table of traits to what parts do: power is put into every cell around a part, and every one of them
// is changed, and each kind is set down beside others while it is on.
func TestTraits(t *testing.T) {
	var near []Cell // all within two cells
	for x := int32(-2); x <= 2; x++ {
		for y := int32(-2); y <= 2; y++ {
			for z := int32(-2); z <= 2; z++ {
				if c := (Cell{X: x, Y: y, Z: z}); c != (Cell{}) {
					near = append(near, c)
				}
			}
		}
	}
	for _, k := range Kinds() {
		for facing := PosX; facing <= NegZ; facing++ {
			trait := k.Trait()
			if trait == (Trait{}) {
				t.Fatalf("%v has no trait", k)
			}
			checkReads(t, k, facing, near)
			checkEars(t, k, facing, near)
			checkFeeds(t, k, facing)
		}
	}
}

// padsOf are the cells that the table says a part at the origin reads.
func padsOf(t Trait, facing Dir) (cells []Cell) {
	for d := PosX; d <= NegZ; d++ {
		if t.Pads.Mask(facing)>>d&1 != 0 {
			cells = append(cells, d.Cell())
		}
	}
	if t.Far != NoFar {
		off := t.Far.Dir(facing).Cell()
		cells = append(cells, off.Add(off))
	}
	return cells
}

func checkReads(t *testing.T, k Kind, facing Dir, near []Cell) {
	t.Helper()
	want := padsOf(k.Trait(), facing)
	b := New(DefaultRules())
	id, err := b.Place(Cell{}, Part{Kind: k, Facing: facing, Op: Or})
	if err != nil {
		t.Fatal(err)
	}
	if got := b.PadCells(id); !slices.Equal(got, want) {
		t.Errorf("%v facing %v: pads %v, want %v", k, facing, got, want)
	}
	if k.Trait().Pads == NoPads {
		return
	}
	for _, c := range near {
		bat, err := b.Place(c, Part{Kind: Battery})
		if err != nil {
			t.Fatal(err)
		}
		if got := b.State(id).Powered; got != slices.Contains(want, c) {
			t.Errorf("%v facing %v: reads live with a battery at %v: %v", k, facing, c, got)
		}
		if err := b.Remove(bat); err != nil {
			t.Fatal(err)
		}
	}
}

// checkEars forces each cell around a part for a moment: a change there, which the part hears or does not.
func checkEars(t *testing.T, k Kind, facing Dir, near []Cell) {
	t.Helper()
	for _, c := range near {
		b := New(DefaultRules())
		id, err := b.Place(Cell{}, Part{Kind: k, Facing: facing})
		if err != nil {
			t.Fatal(err)
		}
		s, heard := b.things[id].site, false
		b.heard = func(hearer, teller int32, _ EventID) { heard = heard || hearer == s && teller != s }
		if err := b.Fire(Target{Cell: c}, Firing{}); err != nil {
			t.Fatal(err)
		}
		if err := b.RunTicks(context.Background(), 1, Budget{}); err != nil {
			t.Fatal(err)
		}
		d, beside := DirOf(c)
		want := false
		switch k.Trait().Hears {
		case HearsLazily, HearsAtOnce:
			want = beside
		case HearsBehind:
			want = beside && d == facing^1
		}
		if heard != want {
			t.Errorf("%v facing %v: heard a change at %v: %v", k, facing, c, heard)
		}
	}
}

// checkFeeds sets a wire into each cell beside a part that is on.
func checkFeeds(t *testing.T, k Kind, facing Dir) {
	t.Helper()
	for d := PosX; d <= NegZ; d++ {
		b := New(DefaultRules())
		if _, err := b.Place(Cell{}, Part{Kind: k, Facing: facing, On: true, Tokens: 1, Level: 1}); err != nil {
			t.Fatal(err)
		}
		if k.Trait().Conducts { // something must feed it
			if _, err := b.Place((d ^ 1).Cell(), Part{Kind: Battery}); err != nil {
				t.Fatal(err)
			}
		}
		w, err := b.Place(d.Cell(), Part{Kind: Wire})
		if err != nil {
			t.Fatal(err)
		}
		want := false
		switch trait := k.Trait(); {
		case trait.Feeds == FeedsAround, trait.Conducts:
			want = true
		case trait.Feeds == FeedsFront:
			want = d == facing
		}
		if got := b.State(w).On; got != want {
			t.Errorf("%v facing %v: feeds a wire to the %v: %v", k, facing, d, got)
		}
	}
}

// TestVoices lets a part of each kind change and sees whether a lamp beside it hears of it.
func TestVoices(t *testing.T) {
	for _, k := range Kinds() {
		b := New(DefaultRules())
		place := func(c Cell, p Part) ID {
			id, err := b.Place(c, p)
			if err != nil {
				t.Fatal(err)
			}
			return id
		}
		id := place(Cell{}, Part{Kind: k, Op: Or, Tokens: 1, Keep: 1, Slug: Feed})
		lamp := place(Cell{X: 0, Y: 1, Z: 0}, Part{Kind: Lamp})
		back, front := Cell{X: -1, Y: 0, Z: 0}, Cell{X: 1, Y: 0, Z: 0}
		var stimulus error
		switch k {
		case Key:
			stimulus = b.Press(id, 0)
		case Wire, Jack:
			stimulus = b.Fire(Target{Cell: back}, Firing{Steps: 1})
		case Meter, Chute:
			place(back, Part{Kind: Tray, Tokens: 1})
			if k == Chute {
				place(front, Part{Kind: Tray})
			}
			stimulus = b.Nudge(Target{ID: id}, false, 0)
		default:
			if k == Bucket {
				place(front, Part{Kind: Tray})
			}
			place(back, Part{Kind: Battery})
			stimulus = b.Nudge(Target{ID: id}, false, 0)
		}
		if stimulus != nil && k != Battery {
			t.Fatalf("%v: %v", k, stimulus)
		}
		s, listener, heard := b.things[id].site, b.things[lamp].site, false
		b.heard = func(hearer, teller int32, _ EventID) { heard = heard || hearer == listener && teller == s }
		if err := b.RunTicks(context.Background(), 5, Budget{}); err != nil {
			t.Fatal(err)
		}
		changed := 0
		for _, ev := range b.Events(1) {
			if ev.ID == id && ev.What != Nudged {
				changed++
			}
		}
		if changed == 0 && k != Battery {
			t.Errorf("%v: nothing happened", k)
		}
		if want := k.Trait().Tells; heard != want || slices.Contains(b.Tellers(lamp), id) != want {
			t.Errorf("%v: a lamp beside it heard it: %v; is named as one whom it tells: %v; the table says %v", k, heard, !heard, want)
		}
	}
}

// TestShows: what the table says changes in a kind is what can be posed and filled.
func TestShows(t *testing.T) {
	for _, k := range Kinds() {
		b := New(DefaultRules())
		id, err := b.Place(Cell{}, Part{Kind: k, On: true, Out: true, Level: 1, Op: Or})
		if err != nil {
			t.Fatal(err)
		}
		st, shows := b.State(id), k.Trait().Shows
		if got := b.Fill(id, 1) == nil; got != shows.Holds() {
			t.Errorf("%v: can be filled: %v", k, got)
		}
		if got := st.Level == 1; got != (shows == ShowsLevel) {
			t.Errorf("%v: can be posed at a level: %v", k, got)
		}
		if got := st.On; got != (shows.Pulses() && !k.Trait().Conducts) {
			t.Errorf("%v: can be posed on: %v", k, got)
		}
	}
}

// TestDown: parts that face along x take up and down, and the two sides, for the same, unless the table says otherwise. Beside
// each of them in turn lies an empty tray, and a battery behind that.
func TestDown(t *testing.T) {
	for _, k := range Kinds() {
		seen := map[string]bool{}
		for _, d := range []Dir{PosY, NegY, PosZ, NegZ} {
			b := New(DefaultRules())
			for i, p := range []Part{{Kind: k, Tokens: 1, Slug: Feed}, {Kind: Tray}, {Kind: Battery}} {
				at := Cell{}
				for range i {
					at = at.Add(d.Cell())
				}
				if _, err := b.Place(at, p); err != nil {
					t.Fatal(err)
				}
			}
			if err := b.Nudge(Target{Cell: Cell{}}, false, 0); err != nil {
				t.Fatal(err)
			}
			if err := b.RunTicks(context.Background(), 4, Budget{}); err != nil {
				t.Fatal(err)
			}
			seen[fmt.Sprint(b.EventCount(), b.CellState(Cell{}), b.CellState(d.Cell()))] = true
		}
		if got := len(seen) > 1; got != k.Trait().Down {
			t.Errorf("%v: goes by what is down: %v", k, got)
		}
	}
}

// TestArms: a kind can be armed if power behind it, or tokens for those that go by them, makes it react to a nudge, and it does
// not react without. It has a facing if what it reads or feeds goes by one.
func TestArms(t *testing.T) {
	for _, k := range Kinds() {
		trait := k.Trait()
		if turns := trait.Pads != NoPads && trait.Pads != AroundPad || trait.Feeds == FeedsFront || trait.Far == FarBack; turns != trait.Faces {
			t.Errorf("%v: has a facing: %v; what it reads or feeds goes by one: %v", k, trait.Faces, turns)
		}
		armed, with := setOff(t, k, true)
		_, without := setOff(t, k, false)
		if got := with && !without; got != trait.Arms || armed != got {
			t.Errorf("%v: is armed: %v; set off by a nudge with something behind it: %v, without: %v", k, armed, with, without)
		}
	}
}

// setOff nudges a part with something behind it, or nothing, and reports whether it was armed before and whether it reacts.
func setOff(t *testing.T, k Kind, behind bool) (armed, reacts bool) {
	t.Helper()
	b := New(DefaultRules())
	place := func(at Cell, p Part) ID {
		id, err := b.Place(at, p)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	id := place(Cell{}, Part{Kind: k, Op: Or})
	switch {
	case k == Meter || k == Chute:
		tokens := 0
		if behind {
			tokens = 1
		}
		place(Cell{X: -1, Y: 0, Z: 0}, Part{Kind: Tray, Tokens: tokens})
		place(Cell{X: 1, Y: 0, Z: 0}, Part{Kind: Tray})
	case behind:
		place(Cell{X: -1, Y: 0, Z: 0}, Part{Kind: Battery})
	}
	armed = b.State(id).Armed
	if trait := k.Trait(); trait.Hears == HearsNot {
		return armed, false
	}
	was := b.State(id)
	if err := b.Nudge(Target{ID: id}, false, 0); err != nil {
		t.Fatal(err)
	}
	if ok, err := b.Turn(); !ok || err != nil {
		t.Fatal(ok, err)
	}
	now := b.State(id)
	return armed, now.Queued || now.Timer || now.On != was.On || now.Level != was.Level
}
