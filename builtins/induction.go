package builtins

import (
	"fmt"
	"slices"
)

// The argument behind expandable.
//
// Given are three runs, of sizes N, N+p and N+2p, each cut into slices a pitch apart. p sizes more are c slices more: the period,
// which is read off the machine as built (period.go). Slices of two runs are matched in two ways: from the first slice on, and from the
// last one back. Let w be over how many slices parts touch each other directly: as neighbours, through pads, seats and cords, along reeds as far
// as the run goes. It is read off the machine, all slices of it. Conductors touch their neighbours only: what level each
// has, and when, is part of what a slice does, and levels that fit their neighbours everywhere are the levels.
//
// Checked is, for N to N+p and again for N+p to N+2p:
//
//  1. The larger machine is the smaller one with c more slices: matched slices hold the same parts in the same pose, and
//     the two ways of matching overlap in at least 2w+c slices.
//  2. In matched slices the same things happen in the same order; and in any 2w+1 slices side by side, too, all of them
//     taken together.
//  3. Each event comes later by so many ticks and steps (perhaps none, perhaps fewer), which are its own, but the same
//     from N to N+p as from N+p to N+2p, and the same in slices of the overlap that are c apart.
//  4. Two events that follow each other in 2w+1 slices side by side will go on doing so. What decides their order (order.go) is
//     the same for all three sizes: ticks, steps, how deep in the news of one turn, or one cause that told both; and by how much it
//     does does not shrink. If it does, they change places at a size that can be told in advance.
//
// Then the run of size N+3p is that of size N+2p, cut inside the overlap, with c more slices put in; for wherever one looks, at
// a slice and its w neighbours on either side, one sees what one sees somewhere in the run of size N+2p, and what a
// part does is settled by what is that near to it and by the order in which it happens. The overlap has then grown by c
// slices, and the same holds for N+4p, and so on.

// pairing is two runs of a machine, the second with c slices more.
type pairing struct {
	a, b        *ledger
	c           int
	left, right int      // so many slices are matched from the first on, and from the last one back
	later       [][]when // how much later what happens there is, by slice of a, matched from the first
	laterRight  [][]when // and from the last, by slices back from it
}

// pair matches two runs. why is what does not match, "" if all does.
func pair(a, b *ledger, c, w int) (p *pairing, why string) {
	n := len(a.slices)
	p = &pairing{a: a, b: b, c: c}
	if len(b.slices) != n+c {
		return p, fmt.Sprintf("it grows by %s, and then by %d", count(c, "slice"), len(b.slices)-n)
	}
	p.left = 0
	for p.left < n && alike(&a.slices[p.left], &b.slices[p.left]) {
		p.left++
	}
	p.right = 0
	for p.right < n && alike(&a.slices[n-1-p.right], &b.slices[n+c-1-p.right]) {
		p.right++
	}
	if p.overlap() < 2*w+1 {
		return p, "what happens in the slices does not repeat yet"
	}
	p.left = inOrder(a, b, 0, p.left, 0, w, false)
	p.right = n - inOrder(a, b, n-p.right, n, c, w, true)
	if p.overlap() < 2*w+1 {
		return p, "the order in which things happen does not repeat yet"
	}
	for k := range p.left {
		p.later = append(p.later, lags(a, k, b, k))
	}
	for k := range p.right {
		p.laterRight = append(p.laterRight, lags(a, n-1-k, b, n+c-1-k))
	}
	return p, ""
}

func (p *pairing) overlap() int { return p.left + p.right - len(p.a.slices) }

// inOrder is how far slices from one to another, by shift further on in b, do things in the same order, looking at 2w+1 of them at a time:
// the first slice that does not any more, or, back from the last, the last one that still does.
func inOrder(a, b *ledger, from, to, shift, w int, back bool) int {
	same := func(lo, hi int) bool {
		x, y := a.window(lo, hi), b.window(lo+shift, hi+shift)
		return slices.Equal(a.places(x, lo), b.places(y, lo+shift))
	}
	if same(from, to) { // as a rule all of them do
		if back {
			return from
		}
		return to
	}
	span := 2*w + 1
	if back {
		for lo := to - span; lo >= from; lo-- {
			if !same(lo, lo+span) {
				return lo + 1
			}
		}
		return from
	}
	for lo := from; lo+span <= to; lo++ {
		if !same(lo, lo+span) {
			return lo + span - 1
		}
	}
	return to
}

// endless checks three runs of sizes p apart, each with c slices more. why is "" if the third goes on without end; otherwise what is
// amiss. crosses is how many periods on two events change places, 0 if none do.
func endless(runs [3]*ledger, c, w int) (why string, overlap, crosses int) {
	first, why := pair(runs[0], runs[1], c, w)
	if why != "" {
		return why, 0, 0
	}
	second, why := pair(runs[1], runs[2], c, w)
	if why != "" {
		return why, 0, 0
	}
	overlap = second.overlap()
	if overlap < 2*w+c {
		return "the slices do not repeat often enough yet", overlap, 0
	}
	if !steady(first, second) {
		return "what more slices delay is not always the same", overlap, 0
	}
	n := len(second.a.slices)
	for k := n - second.right + c; k < second.left; k++ {
		if !slices.Equal(second.later[k], second.later[k-c]) || !slices.Equal(second.laterRight[n-1-k], second.laterRight[n-1-k+c]) {
			return "a slice is not a constant time behind the one before", overlap, 0
		}
	}
	n = len(runs[0].slices)
	left := order{runs, [3]int{}, w, func(k int) []when { return second.later[k] }}
	right := order{runs, [3]int{0, c, 2 * c}, w, func(k int) []when { return second.laterRight[n+c-1-k] }}
	to, in := left.stays(0, min(first.left, second.left), false)
	from, soon := right.stays(n-min(first.right, second.right), n, true)
	if to-from < 2*w+1 {
		return "what decides which of two events comes first is not always the same", overlap, 0
	}
	if in == 0 || soon > 0 && soon < in {
		in = soon
	}
	if in > 0 {
		return "two events come nearer to each other with each slice, and will change places", overlap, in
	}
	return "", to - from + c, 0
}

// steady reports whether two pairings delay everything by the same.
func steady(first, second *pairing) bool {
	for k := range min(len(first.later), len(second.later)) {
		if !slices.Equal(first.later[k], second.later[k]) {
			return false
		}
	}
	for k := range min(len(first.laterRight), len(second.laterRight)) {
		if !slices.Equal(first.laterRight[k], second.laterRight[k]) {
			return false
		}
	}
	return true
}

// order is three runs whose slices are matched, the second and third some slices further on.
type order struct {
	runs  [3]*ledger
	shift [3]int
	w     int
	later func(slab int) []when // how much later the third is than the second, by slice of the second
}

// stays is how far slices from one on (of the first run) up to another, or back from that, have what goes on in its order as the machine
// grows: the first, or the last, of which that cannot be told. in is after how many periods more it does not, 0: never.
func (o *order) stays(from, to int, back bool) (end, in int) {
	end = to
	if back {
		end = from
	}
	if in, ok := o.follows(from, to); ok && in == 0 {
		return end, 0
	}
	// Taken all together they do not; what touches does not lie so far apart.
	span := 2*o.w + 1
	for i := range max(to-from-span+1, 0) {
		lo := from + i
		if back {
			lo = to - span - i
		}
		switch soon, ok := o.follows(lo, lo+span); {
		case !ok && back:
			return lo + 1, in
		case !ok:
			return lo + span - 1, in
		case soon > 0 && (in == 0 || soon < in):
			in = soon
		}
	}
	return end, in
}

// follows looks at each two lines that follow each other in some slices.
func (o *order) follows(from, to int) (in int, ok bool) {
	c := o.runs[2]
	win := c.window(from+o.shift[2], to+o.shift[2])
	at := c.places(win, 0)
	line := func(run int, p spot) int32 {
		return o.runs[run].slices[int(p.slab)-o.shift[2]+o.shift[run]].lines[p.nth]
	}
	for i := 1; i < len(win); i++ {
		p, q := at[i-1], at[i]
		x, y := c.lines[win[i-1]].when, c.lines[win[i]].when
		more := func(p spot) when { return o.later(int(p.slab) - o.shift[2] + o.shift[1])[p.nth] }
		apart, farther := y.sub(x), more(q).sub(more(p))
		if soon := crossing(apart, farther, c.silent); soon > 0 && (in == 0 || soon < in) {
			in = soon
		}
		if apart != (when{}) || farther != (when{}) {
			continue
		}
		var ms [3]margin
		for run := range ms {
			ms[run] = o.runs[run].margin(line(run, p), line(run, q))
		}
		soon, fine := shrinks(ms)
		if !fine {
			return 0, false
		}
		if soon > 0 && (in == 0 || soon < in) {
			in = soon
		}
	}
	return in, true
}

// shrinks is after how many periods more a margin is used up, 0: never. ok is false if it is not the same kind of margin, or does not
// grow or shrink evenly.
func shrinks(ms [3]margin) (in int, ok bool) {
	by := ms[2].by - ms[1].by
	switch {
	case ms[0].decides != ms[1].decides || ms[1].decides != ms[2].decides || ms[1].by-ms[0].by != by:
		return 0, false
	case ms[0].decides == unclear:
		return 0, by == 0
	case by < 0:
		return int(max(1, (ms[2].by-by-1)/-by)), true
	}
	return 0, true
}

// crossing is after how many periods more two events, now d apart and e farther apart with each, are no longer in
// the order in which they are; 0: never. Within a tick they are compared by steps. What waits silently for some ticks after one of two
// events may find the other has happened, or not yet: those that go apart pass it once.
func crossing(d, e when, silent int32) int {
	switch {
	case e.ticks < 0 && d.ticks >= 0:
		return int(max(1, (d.ticks-e.ticks-1)/-e.ticks))
	case e.ticks > 0 && d.ticks >= 0 && d.ticks <= silent:
		return int((silent-d.ticks)/e.ticks + 1)
	case e.ticks != 0 || d.ticks != 0:
		return 0
	case e.steps < 0:
		return int(max(1, (d.steps-e.steps-1)/-e.steps))
	}
	return 0
}
