package builtins

import (
	"slices"
)

// The argument behind expandable.
//
// Given are three runs, of sizes N, N+1 and N+2, each cut into slices a pitch apart. Slices of two runs are matched in two
// ways: from the first slice on, and from the last one back. Let w be over how many slices parts touch each other directly:
// as neighbours, through pads, seats and cords, along conductors as far as the reach goes, along reeds as far as
// the run goes. It is read off the machine.
//
// Checked is, for N to N+1 and again for N+1 to N+2:
//
//  1. The larger machine is the smaller one with one more slice: matched slices hold the same parts in the same pose, and
//     the two ways of matching overlap in at least 2w+1 slices.
//  2. In matched slices the same things happen in the same order; and in any w+1 slices side by side, too, all of them
//     taken together.
//  3. Each event comes later by so many ticks and steps (perhaps none, perhaps fewer), which are its own, but the same
//     from N to N+1 as from N+1 to N+2, and the same in all slices of the overlap.
//  4. Two events that follow each other in w+1 slices side by side will go on doing so: what comes later by less does
//     not come after what comes later by more. Else they change places at a size that can be told in advance.
//
// Then the run of size N+3 is that of size N+2, cut inside the overlap, with one more slice put in; for wherever one looks, at
// a slice and its w neighbours on either side, one sees what one sees somewhere in the run of size N+2, and what a
// part does is settled by what is that near to it and by the order in which it happens. The overlap has then grown by one
// slice, and the same holds for N+4, and so on.
//
// Assumed, and not checked: that in one step the order of turns matters only between slices at most w apart, or comes from
// such (the queue is first in, first out, so two acts are in the order of those that queued them); that send and read
// look at the ends of the machine or at the slice of their number, so that what is read follows from the events there. It holds
// for the numbers tried and the rules in force.
//
// A lag of its own for each event, not one for all: slugs land in the same tick in every station though the edges come a step
// later in each; reeds lag nothing where links lag a step. Where the numbers grow with the size, a slice may be put in before
// the number's own or behind it; as many numbers in a row as a slice has must allow both. Parts on the shelf are in no slice:
// then nothing is shown, only tested.

// step is one more slice: from a run to that of the next size.
type grown struct {
	left, right [][]lag // how much later events are, by slice: matched from the first slice, and from the last
	overlap     int
}

// grow matches two runs of neighbouring sizes. why is what does not match, "" if all does.
func grow(a, b *ledger, w int) (g grown, why string) {
	n := len(a.slices)
	if len(b.slices) != n+1 {
		return g, "one size more is not one slice more"
	}
	wa, wb := a.windows(w), b.windows(w)
	// A window that begins at slice k matches if its slices do, and their common order.
	left := 0
	for left < n && a.slices[left].alike(&b.slices[left]) && (left < w || slices.Equal(wa[left-w], wb[left-w])) {
		g.left = append(g.left, a.slices[left].lags(&b.slices[left]))
		left++
	}
	right := 0
	for right < n && a.slices[n-1-right].alike(&b.slices[n-right]) {
		if k := n - 1 - right; right >= w && !slices.Equal(wa[k], wb[k+1]) {
			break
		}
		g.right = append(g.right, a.slices[n-1-right].lags(&b.slices[n-right]))
		right++
	}
	g.overlap = left + right - n
	if g.overlap < 2*w+1 {
		return g, "the slices do not repeat yet"
	}
	for k := n - right + 1; k < left; k++ {
		if !slices.Equal(g.left[k], g.left[k-1]) || !slices.Equal(g.right[n-1-k], g.right[n-k]) {
			return g, "a slice is not a constant time behind the one before"
		}
	}
	return g, ""
}

// endless checks three runs of sizes one apart. why is "" if the third goes on without end; otherwise what is amiss.
// crosses is the size at which two events change places, 0 if none do.
func endless(a, b, c *ledger, w int) (why string, overlap, crosses int) {
	first, why := grow(a, b, w)
	if why != "" {
		return why, max(first.overlap, 0), 0
	}
	second, why := grow(b, c, w)
	if why != "" {
		return why, max(second.overlap, 0), 0
	}
	const uneven = "what a slice more delays is not always the same"
	for k := range min(len(first.left), len(second.left)) {
		if !slices.Equal(first.left[k], second.left[k]) {
			return uneven, first.overlap, 0
		}
	}
	for k := range min(len(first.right), len(second.right)) {
		if !slices.Equal(first.right[k], second.right[k]) {
			return uneven, first.overlap, 0
		}
	}
	// Will the order stay?
	wins := c.windows(w)
	n := len(c.slices)
	look := func(win []entryAt, from int, later func(slab int) []lag) {
		for i := 1; i < len(win); i++ {
			x, y := win[i-1], win[i]
			p, q := later(from+int(x.slab)), later(from+int(y.slab))
			if p == nil || q == nil {
				continue
			}
			d := c.slices[from+int(y.slab)].events[y.event].when.sub(c.slices[from+int(x.slab)].events[x.event].when)
			if in := crossing(d, q[y.event].sub(p[x.event])); in > 0 && (crosses == 0 || c.size+in < crosses) {
				crosses = c.size + in
			}
		}
	}
	for k, win := range wins {
		look(win, k, func(slab int) []lag {
			if slab < len(second.left) {
				return second.left[slab]
			}
			return nil
		})
		look(win, k, func(slab int) []lag {
			if back := n - 1 - slab; back < len(second.right) {
				return second.right[back]
			}
			return nil
		})
	}
	if crosses > 0 {
		return "two events come nearer to each other with each slice, and will change places", second.overlap, crosses
	}
	return "", second.overlap, 0
}

// crossing is after how many sizes more two events, now d apart and e farther apart with each size, are no longer in
// the order in which they are; 0: never. Within a tick they are compared by steps.
func crossing(d, e lag) int {
	switch {
	case e.ticks < 0 && d.ticks >= 0:
		return int(max(1, (d.ticks-e.ticks-1)/-e.ticks))
	case e.ticks != 0 || d.ticks != 0:
		return 0
	case e.steps < 0:
		return int(max(1, (d.steps-e.steps-1)/-e.steps))
	}
	return 0
}
