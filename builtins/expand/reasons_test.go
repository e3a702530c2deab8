package expand

import (
	"testing"

	"pulsewright/builtins/observe"
	"pulsewright/engine"
)

// TestDrift: what read sees of a larger machine is told from what it sees of a smaller one, each difference by its own sentence.
func TestDrift(t *testing.T) {
	at := func(slab int, looked observe.Looked, edges ...when) port {
		return port{slab: slab, looked: looked, edges: edges}
	}
	const instants, width = observe.AtInstants, observe.AtWidth
	far := at(1, width, when{1, 0}, when{1, 3})
	elsewhere := far
	elsewhere.cell = engine.Cell{Y: 1}
	for _, c := range []struct {
		why  string
		by   when
		runs [3][]port
	}{
		{"", when{}, [3][]port{{at(1, width, when{1, 0}, when{1, 3})}, {at(2, width, when{1, 5}, when{1, 8})}, {at(3, width, when{1, 10}, when{1, 13})}}},
		{"read sees pulses at more places, or at fewer, in a larger machine", when{}, [3][]port{{far}, {far}, {far, far}}},
		{"what read sees is not the same in a larger machine", when{}, [3][]port{{far}, {far}, {elsewhere}}},
		{"what read sees is not the same in a larger machine", when{}, [3][]port{{far}, {at(1, width, when{1, 0})}, {far}}},
		{"what read sees is not the same in a larger machine", when{}, [3][]port{{far}, {far}, {at(1, instants, when{1, 0}, when{1, 3})}}},
		{"read looks at another slice in a larger machine", when{}, [3][]port{{far}, {far}, {at(2, width, when{1, 0}, when{1, 3})}}},
		{"what read looks at is delayed unevenly by more slices", when{}, [3][]port{{far}, {at(1, width, when{1, 2}, when{1, 5})}, {at(1, width, when{1, 3}, when{1, 6})}}},
		{"read looks at an instant that comes later", when{0, 2}, [3][]port{{at(1, instants, when{1, 0})}, {at(1, instants, when{1, 2})}, {at(1, instants, when{1, 4})}}},
		{"the edges that read looks at drift apart", when{2, 0}, [3][]port{{far}, {at(1, width, when{1, 0}, when{3, 3})}, {at(1, width, when{1, 0}, when{5, 3})}}},
	} {
		if why, by := drift(c.runs, 0); why != c.why || by != c.by {
			t.Errorf("%q by %v, want %q by %v", why, by, c.why, c.by)
		}
	}
	// Numbers that are larger by one each time are sent later by one, and no more.
	steps := [3][]port{{at(1, instants, when{1, 1})}, {at(1, instants, when{1, 2})}, {at(1, instants, when{1, 3})}}
	if why, _ := drift(steps, 1); why != "" {
		t.Error(why)
	}
	if why, _ := drift(steps, 2); why != "read looks at an instant that comes later" {
		t.Error(why)
	}
}

// happened is a run of a machine in which one thing happens in each slice, caused by the one before, at a time of its own, after those of the slices before.
func happened(times ...when) *ledger {
	l := &ledger{plan: &plan{}}
	for k, at := range times {
		l.lines = append(l.lines, entry{when: at, turn: int32(k), cause: int32(k - 1), slab: int32(k)})
		l.slices = append(l.slices, slab{lines: []int32{int32(k)}})
	}
	return l
}

// paced is a run of so many slices, each so many steps behind the one before.
func paced(slices int, step int32) *ledger {
	var times []when
	for k := range slices {
		times = append(times, when{1, int32(k) * step})
	}
	return happened(times...)
}

// TestEndless: in which way three runs do not go on without end is told by a sentence of its own.
func TestEndless(t *testing.T) {
	behind := func(l *ledger, from int, by when) *ledger { // all from a slice on comes later by so much
		for k := from; k < len(l.lines); k++ {
			l.lines[k].ticks += by.ticks
			l.lines[k].steps += by.steps
		}
		return l
	}
	other := func(l *ledger, at ...int) *ledger {
		for _, k := range at {
			l.slices[k].did++
		}
		return l
	}
	turned := func(l *ledger, k int) *ledger { // the lines of slices k and k+1 change places
		l.lines[k], l.lines[k+1] = l.lines[k+1], l.lines[k]
		l.slices[k].lines[0], l.slices[k+1].lines[0] = int32(k+1), int32(k)
		return l
	}
	atOnce := func(slices int, turn func(k int) int32, deeper int32, cause func(k int) int32) *ledger { // all in one step
		l := paced(slices, 0)
		for k := range l.lines {
			l.lines[k].turn, l.lines[k].depth, l.lines[k].cause = turn(k), int32(k)*deeper, cause(k)
		}
		return l
	}
	one := func(int) int32 { return 0 }
	each := func(k int) int32 { return int32(k) }
	before := func(k int) int32 { return int32(k) - 1 }
	first := func(k int) int32 { return int32(min(k, 1)) - 1 }
	for _, c := range []struct {
		why  string
		runs [3]*ledger
	}{
		{"", [3]*ledger{paced(8, 2), paced(9, 2), paced(10, 2)}},
		{"it grows by 1 slice, and then by 3", [3]*ledger{paced(8, 2), paced(11, 2), paced(12, 2)}},
		{"what happens in the slices does not repeat yet", [3]*ledger{paced(8, 2), other(paced(9, 2), 3, 5), paced(10, 2)}},
		{"the order in which things happen does not repeat yet", [3]*ledger{paced(8, 2), turned(paced(9, 2), 4), paced(10, 2)}},
		{"what more slices delay is not always the same", [3]*ledger{paced(8, 2), behind(paced(9, 2), 4, when{1, 0}), paced(10, 2)}},
		{"what decides which of two events comes first is not always the same", [3]*ledger{atOnce(8, each, 0, before), atOnce(9, each, 0, before), atOnce(10, each, 0, first)}},
	} {
		if why, _, crosses := endless(c.runs, 1, 1); why != c.why || crosses != 0 {
			t.Errorf("%q, crosses %d; want %q", why, crosses, c.why)
		}
	}
	nearer := [3]*ledger{atOnce(8, one, 5, before), atOnce(9, one, 4, before), atOnce(10, one, 3, before)}
	if why, _, crosses := endless(nearer, 1, 1); why != "two events come nearer to each other with each slice, and will change places" || crosses != 3 {
		t.Errorf("%q, crosses %d", why, crosses)
	}
	seldom := [3]*ledger{paced(8, 2), paced(12, 2), other(paced(16, 2), 6)}
	if why, _, _ := endless(seldom, 4, 1); why != "the slices do not repeat often enough yet" {
		t.Errorf("%q", why)
	}
}
