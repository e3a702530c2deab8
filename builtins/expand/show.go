package expand

import (
	"pulsewright/builtins"

	"fmt"

	"go.starlark.net/starlarkstruct"
)

// show applies the argument of induction.go to what was run up to a size, class by class of numbers, and reports whether all of them are shown.
// held: they go on from one size on, though not yet from as many in a row as a period has.
func (x *expansion) show(size int) (all, held bool, err error) {
	if x.Env.Bench.Rules().Mixed { // a slice farther on is told in other orders
		x.classes, x.why = nil, "each cell has a neighbour order of its own, so that no slice is told as another is"
		return false, false, nil
	}
	p := x.sizes
	many, ok, err := x.grow(size)
	if err != nil || !ok {
		x.classes = nil
		return false, false, err
	}
	crosses, why := x.crosses, ""
	x.crosses, held = 0, true
	for i := range x.classes {
		cl := &x.classes[i]
		if cl.shown {
			continue
		}
		x.overlap = 1 << 30
		if !x.holds(i, size-2*p, many-2*x.more) {
			cl.streak, held = 0, false
			if why == "" {
				why = x.why
			}
			continue
		}
		if cl.streak++; cl.streak == 1 {
			cl.from, cl.overlap = size-2*p, x.overlap
		}
		cl.overlap = min(cl.overlap, x.overlap)
		cl.shown = cl.streak == p
	}
	x.why = why
	if !held && x.crosses == 0 { // how near events come is seen only where all else repeats
		x.crosses = crosses
	}
	return len(x.open(len(x.classes))) == 0, held, nil
}

// holds reports whether a class of numbers, the nth of so many at a size, goes on from there.
func (x *expansion) holds(nth, size, many int) bool {
	if x.more == 0 {
		return x.goesOn(size, nth, 0)
	}
	stays := func(k int) bool { return x.goesOn(size, nth+k*x.more, 0) }
	grows := func(k int) bool { return x.goesOn(size, nth+k*x.more, 1) }
	members := (many - nth + x.more - 1) / x.more
	// The first ones stay, and the last ones grow: one that does both lies between.
	both := -1
	for lo, hi := 0, members-1; lo <= hi && both < 0; {
		switch k := (lo + hi) / 2; {
		case !stays(k):
			hi = k - 1
		case !grows(k):
			lo = k + 1
		default:
			both = k
		}
	}
	if both < 0 {
		return false
	}
	for k := range both {
		if !stays(k) {
			return false
		}
	}
	for k := both + 1; k < members; k++ {
		if !grows(k) {
			return false
		}
	}
	return true
}

// goesOn reports whether a number of a size, the nth, goes on without end in larger machines: it stays, by 0, or, by 1, grows with each period.
func (x *expansion) goesOn(size, nth, by int) bool {
	var runs [3]oneRun
	var plans [3]*plan
	for i := range runs {
		at := size + i*x.sizes
		run := x.ran(at, nth+i*by*x.more)
		if run == nil || x.plans[at] == nil {
			x.why = fmt.Sprintf("not all sizes up to %d were run", at)
			return false
		}
		runs[i], plans[i] = *run, x.plans[at]
		switch {
		case run.ledger == nil:
			x.why = run.bad
			return false
		case run.asks != "":
			x.why = fmt.Sprintf("send or read asks for %s(...), which may go by the size", run.asks)
			return false
		}
	}
	x.near = max(x.near, plans[0].near, plans[1].near, plans[2].near)
	if plans[0].more(plans[1]) != x.slices || plans[1].more(plans[2]) != x.slices {
		x.why = fmt.Sprintf("the slices of sizes %d, %d and %d do not repeat often enough yet", runs[0].size, runs[1].size, runs[2].size)
		return false
	}
	why, ok := x.endless(runs, by*x.apart)
	if !ok {
		x.why = fmt.Sprintf("number %s: %s", builtins.Show(runs[0].n), why)
	}
	return ok
}

// ran finds the run of a number at a size, by its place among those of the size; nil if it was not sent.
func (x *expansion) ran(size, nth int) *oneRun {
	runs := x.runs[size]
	for i := range runs {
		if runs[i].nth == nth {
			return &runs[i]
		}
	}
	return nil
}

// endless reports whether three runs go on without end, and read with them.
func (x *expansion) endless(runs [3]oneRun, step int) (why string, ok bool) {
	why, overlap, crosses := endless([3]*ledger{runs[0].ledger, runs[1].ledger, runs[2].ledger}, x.slices, x.near)
	if crosses > 0 {
		at := runs[2].size + crosses*x.sizes
		if x.crosses == 0 || at < x.crosses {
			x.crosses = at
		}
		return fmt.Sprintf("%s at about size %d", why, at), false
	}
	if why != "" {
		return why, false
	}
	why, by := drift([3][]port{runs[0].ports, runs[1].ports, runs[2].ports}, step)
	if by != (when{}) {
		x.drifts = by
		return fmt.Sprintf("%s, by %v with each %s more; it is read right as long as read makes nothing of that", why, by, x.oneMore()), false
	}
	if why == "" {
		x.overlap = min(x.overlap, overlap)
	}
	return why, why == ""
}

// oneMore is what a machine has more in the next size of its kind.
func (x *expansion) oneMore() string {
	if x.slices == 1 {
		return "slice"
	}
	return fmt.Sprintf("%d slices", x.slices)
}

// goesBySize finds out whether send or read looks at a value of the rig that is not the same at every size, of all that were built a
// number of periods apart. why is "" if neither does.
func (x *expansion) goesBySize(size int) (why string, err error) {
	x.differing = differing{ways: map[string]bool{}, loose: map[string]bool{}}
	for built, p := range x.plans {
		// All are held against the last one of their kind that was run.
		like := size - ((size-built)%x.sizes+x.sizes)%x.sizes
		last := x.plans[like]
		if built < x.leastShown() || p.failed || last == nil || last.failed {
			continue
		}
		x.differing.compare(last.leaves, p.leaves)
	}
	if x.hidden != "" {
		return fmt.Sprintf("the rig holds at %s what is not the same at every size; send and read may go by it", x.hidden), nil
	}
	if len(x.ways) == 0 {
		return "", nil
	}
	for k := range x.sizes { // each kind has its own values
		if why, err = x.touches(size - k); err != nil || why != "" {
			return why, err
		}
	}
	return "", nil
}

// leastShown is the least size from which on any number is shown.
func (x *expansion) leastShown() int {
	from := x.shownFrom
	for _, cl := range x.classes {
		from = min(from, cl.from)
	}
	return from
}

// touches finds out whether send or read of a machine of that size looks at one of those values of the rig.
func (x *expansion) touches(size int) (why string, err error) {
	numbers, err := x.numbersOf(size)
	if err != nil {
		return "", err
	}
	touched := ""
	for _, n := range numbers {
		t, err := x.Pose(x.One(), size)
		if err != nil {
			return "", err
		}
		rig, ok := t.Rig.(*starlarkstruct.Struct)
		if !ok {
			return "the rig is not the same at every size; send and read may go by it", nil
		}
		t.Dirty = true
		watching := sizedRig{rig, "", x.ways, &touched}
		if _, err = t.Call(t.Design.Send, watching, n); err == nil {
			if err = t.Quiet(); err == nil {
				_, err = t.Call(t.Design.Read, watching)
			}
		}
		if stopped := x.C.Env.Stopped(); stopped != nil {
			return "", stopped
		}
		if err != nil && touched == "" {
			touched = "(" + builtins.Message(err) + ")"
		}
		if touched != "" {
			return fmt.Sprintf("send or read goes by %s of the rig, which is not the same at every size", touched), nil
		}
	}
	return "", nil
}
