package expand

import (
	"pulsewright/builtins/say"

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

// pairing is two runs of a machine, the second with more slices: the slices matched from the first one on, and those matched from the last one back.
type pairing struct {
	a, b        *ledger
	left, right stretch
}

// stretch is slices from to to (not included) of one run that do what slices so many further on do in another.
type stretch struct {
	from, to, shift int
	later           [][]when // how much later what happens there is
}

// pair matches two runs, the second with c slices more. why is what does not match, "" if all does.
func pair(a, b *ledger, c, w int) (p *pairing, why string) {
	n := len(a.slices)
	if len(b.slices) != n+c {
		return nil, fmt.Sprintf("it grows by %s, and then by %d", say.Count(c, "slice"), len(b.slices)-n)
	}
	p = &pairing{a, b, stretch{}, stretch{from: n, to: n, shift: c}}
	for p.left.to < n && alike(&a.slices[p.left.to], &b.slices[p.left.to]) {
		p.left.to++
	}
	for p.right.from > 0 && alike(&a.slices[p.right.from-1], &b.slices[p.right.from-1+c]) {
		p.right.from--
	}
	if p.overlap() < 2*w+1 {
		return nil, "what happens in the slices does not repeat yet"
	}
	p.inOrder(&p.left, w, false)
	p.inOrder(&p.right, w, true)
	if p.overlap() < 2*w+1 {
		return nil, "the order in which things happen does not repeat yet"
	}
	for _, s := range [...]*stretch{&p.left, &p.right} {
		for k := s.from; k < s.to; k++ {
			s.later = append(s.later, lags(a, k, b, k+s.shift))
		}
	}
	return p, ""
}

// overlap is how many slices both stretches have.
func (p *pairing) overlap() int { return p.left.to - p.right.from }

// inOrder cuts a stretch back to the slices which do things in the same order in both runs, looking at 2w+1 of them at a time: from its
// first slice on, or back from its last.
func (p *pairing) inOrder(s *stretch, w int, back bool) {
	like := func(u, v *entry) bool { return u.nth == v.nth && int(u.slab)+s.shift == int(v.slab) }
	same := func(from, to int) bool {
		x, y := p.a.window(from, to), p.b.window(from+s.shift, to+s.shift)
		return slices.EqualFunc(x, y, func(i, j int32) bool { return like(&p.a.lines[i], &p.b.lines[j]) })
	}
	i, j := p.a.next(0, s.from, s.to), p.b.next(0, s.from+s.shift, s.to+s.shift)
	for i < len(p.a.lines) && j < len(p.b.lines) && like(&p.a.lines[i], &p.b.lines[j]) {
		i, j = p.a.next(i+1, s.from, s.to), p.b.next(j+1, s.from+s.shift, s.to+s.shift)
	}
	if i == len(p.a.lines) && j == len(p.b.lines) { // as a rule all of them do
		return
	}
	span := 2*w + 1
	for i := range max(s.to-s.from-span+1, 0) {
		switch lo := s.to - span - i; {
		case back && !same(lo, lo+span):
			s.from = lo + 1
			return
		case !back && !same(s.from+i, s.from+i+span):
			s.to = s.from + i + span - 1
			return
		}
	}
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
	if !steady(&first.left, &second.left) || !steady(&first.right, &second.right) {
		return "what more slices delay is not always the same", overlap, 0
	}
	lo, hi := second.right.from+c, second.left.to
	if !second.left.even(lo, hi, c) || !second.right.even(lo, hi, c) {
		return "a slice is not a constant time behind the one before", overlap, 0
	}
	left := order{runs, [3]int{}, w, &second.left}
	right := order{runs, [3]int{0, c, 2 * c}, w, &second.right}
	_, to, in := left.stays(0, min(first.left.to, second.left.to), false)
	from, _, soon := right.stays(max(first.right.from, second.right.from-c), len(runs[0].slices), true)
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

// steady reports whether two pairings delay everything in a stretch by the same.
func steady(first, second *stretch) bool {
	shift := first.shift
	for k := max(first.from, second.from-shift); k < min(first.to, second.to-shift); k++ {
		if !slices.Equal(first.later[k-first.from], second.later[k+shift-second.from]) {
			return false
		}
	}
	return true
}

// even reports whether all in slices from lo to hi (not included) comes later by as much as it does c slices before.
func (s *stretch) even(lo, hi, c int) bool {
	for k := lo; k < hi; k++ {
		if !slices.Equal(s.later[k-s.from], s.later[k-c-s.from]) {
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
	later *stretch // how much later the third is than the second
}

// stays cuts slices from one on (of the first run) up to another back to those that have what goes on in its order as the machine grows: from the first
// on, or back from the last. in is after how many periods more it does not, 0: never.
func (o *order) stays(from, to int, back bool) (first, end, in int) {
	if in, ok := o.follows(from, to); ok && in == 0 {
		return from, to, 0
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
			return lo + 1, to, in
		case !ok:
			return from, lo + span - 1, in
		case soon > 0 && (in == 0 || soon < in):
			in = soon
		}
	}
	return from, to, in
}

// follows looks at each two lines that follow each other in some slices.
func (o *order) follows(from, to int) (in int, ok bool) {
	c := o.runs[2]
	win := c.window(from+o.shift[2], to+o.shift[2])
	line := func(run int, e *entry) int32 {
		return o.runs[run].slices[int(e.slab)-o.shift[2]+o.shift[run]].lines[e.nth]
	}
	more := func(e *entry) when { return o.later.later[int(e.slab)-o.shift[2]+o.shift[1]-o.later.from][e.nth] }
	for i := 1; i < len(win); i++ {
		x, y := &c.lines[win[i-1]], &c.lines[win[i]]
		apart, farther := y.when.sub(x.when), more(y).sub(more(x))
		if soon := crossing(apart, farther, c.silent); soon > 0 && (in == 0 || soon < in) {
			in = soon
		}
		if apart != (when{}) || farther != (when{}) {
			continue
		}
		var ms [3]margin
		for run := range ms {
			ms[run] = o.runs[run].margin(line(run, x), line(run, y))
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
