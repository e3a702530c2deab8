package engine

import (
	"math/bits"
	"slices"
)

// What a timer is for.
const (
	tPart uint8 = iota // the one timer of a part: delay, oneshot, echo, gate, bucket, chute
	tEdge              // transport or inertial delay: one edge; arg is its number, for inertial
	tLand              // a slug lands; arg is the number of the move, of a shuttle that lets go
	tKeep              // a tray's token is consumed; arg is its number
	tHold              // a key comes up; arg is the press it belongs to
	tStim              // a stimulus; arg is its index
	tThen              // a part of a told kind has been in its state for long enough; arg is the number of its stay there
)

// timer waits for its tick. The timers of one tick run in the order in which they were set.
type timer struct {
	site  int32
	cause EventID
	arg   uint32
	what  uint8
}

// wheel holds the timers of the next 256 ticks, a slot a tick, and later ones in a heap.
// Those in the heap were set before any in the slot of the same tick. The slots are the bench's own: a snapshot keeps those alone that hold any.
type wheel struct {
	some  slotSet // those that may hold any; no other does
	later laterHeap
	seq   uint64
}

// slotSet is a set of slots: bit t for slot t.
type slotSet [4]uint64

// each gives the slots of the set, lowest first.
func (set *slotSet) each(yield func(int) bool) {
	for i, w := range set {
		for ; w != 0; w &= w - 1 {
			if !yield(i<<6 + bits.TrailingZeros64(w)) {
				return
			}
		}
	}
}

type laterTimer struct {
	tick int64
	seq  uint64
	timer
}

func (t *laterTimer) before(u *laterTimer) bool {
	return t.tick < u.tick || t.tick == u.tick && t.seq < u.seq
}

// laterHeap has the timer that comes first on top.
type laterHeap []laterTimer

func (h *laterHeap) push(t laterTimer) {
	*h = append(*h, t)
	s := *h
	for i := len(s) - 1; i > 0; {
		up := (i - 1) / 2
		if !s[i].before(&s[up]) {
			break
		}
		s[i], s[up] = s[up], s[i]
		i = up
	}
}

func (h *laterHeap) pop() timer {
	s := *h
	top := s[0].timer
	s[0] = s[len(s)-1]
	*h = s[:len(s)-1]
	(*h).sink(0)
	return top
}

func (h laterHeap) sink(i int) {
	for {
		kid := 2*i + 1
		if kid >= len(h) {
			return
		}
		if kid+1 < len(h) && h[kid+1].before(&h[kid]) {
			kid++
		}
		if !h[kid].before(&h[i]) {
			return
		}
		h[i], h[kid] = h[kid], h[i]
		i = kid
	}
}

func (h laterHeap) order() {
	for i := len(h)/2 - 1; i >= 0; i-- {
		h.sink(i)
	}
}

// setTimer sets a timer that comes due in so many ticks, at least 1.
func (b *Bench) setTimer(t timer, ticks int64) { b.setTimerAt(t, b.tick+ticks) }

func (b *Bench) setTimerAt(t timer, tick int64) {
	if tick-b.tick < 256 {
		s := tick & 255
		b.slots[s] = append(b.slots[s], t)
		b.some[s>>6] |= 1 << (s & 63)
		return
	}
	b.seq++
	b.later.push(laterTimer{tick, b.seq, t})
}

// nextTick finds the next tick that has a timer or an edge.
func (b *Bench) nextTick() (int64, bool) {
	best, ok := int64(0), false
	for d := int64(1); d < 256; {
		s := (b.tick + d) & 255
		w := b.some[s>>6] >> (s & 63)
		if w == 0 {
			d += 64 - s&63
			continue
		}
		d += int64(bits.TrailingZeros64(w))
		if d >= 256 {
			break
		}
		t := b.tick + d
		s = t & 255
		b.slots[s] = slices.DeleteFunc(b.slots[s], b.cancelled)
		if len(b.slots[s]) > 0 {
			best, ok = t, true
			break
		}
		b.some[s>>6] &^= 1 << (s & 63)
	}
	for len(b.later) > 0 && b.cancelled(b.later[0].timer) {
		b.later.pop()
	}
	if len(b.later) > 0 && (!ok || b.later[0].tick < best) {
		best, ok = b.later[0].tick, true
	}
	for _, e := range b.edges {
		if !ok || e.tick < best {
			best, ok = e.tick, true
		}
	}
	return best, ok
}

// takeDue takes the timers of tick t off the wheel.
func (b *Bench) takeDue(t int64) {
	s := t & 255
	b.due, b.slots[s] = b.slots[s], b.due[:0]
	b.some[s>>6] &^= 1 << (s & 63)
	b.dueHead = 0
	if len(b.later) == 0 || b.later[0].tick > t {
		return
	}
	b.first = append(b.first[:0], b.due...)
	b.due = b.due[:0]
	for len(b.later) > 0 && b.later[0].tick <= t {
		b.due = append(b.due, b.later.pop())
	}
	b.due = append(b.due, b.first...)
}

// skipCancelled moves to the next timer due; false if none is left.
func (b *Bench) skipCancelled() bool {
	for b.dueHead < len(b.due) {
		if !b.cancelled(b.due[b.dueHead]) {
			return true
		}
		b.dueHead++
	}
	b.due, b.dueHead = b.due[:0], 0
	return false
}

// cancelled reports whether the timer is void: its key was released before, its edge edited away.
func (b *Bench) cancelled(t timer) bool {
	switch t.what {
	case tLand:
		return t.arg != 0 && b.ext[b.extOf[t.site]].gen != t.arg
	case tHold, tThen:
		return b.ext[b.extOf[t.site]].gen != t.arg
	case tEdge:
		if Mode(b.st[t.site].op) == Inertial {
			for _, p := range b.ext[b.extOf[t.site]].pending {
				if p.seq == t.arg {
					return false
				}
			}
			return true
		}
	case tKeep:
		return t.arg < b.ext[b.extOf[t.site]].gone
	}
	return false
}

// runTimer is the turn of a timer that came due.
func (b *Bench) runTimer(t timer) {
	if t.what == tStim {
		b.stimulate(int32(t.arg))
		return
	}
	b.counts.Timers++
	switch t.what {
	case tThen:
		b.toldThen(t.site, t.cause)
	case tLand:
		b.slugLands(t.site, t.cause)
	case tEdge:
		b.delayEdge(t)
	case tKeep:
		b.trayConsumes(t.site, t.cause)
	case tHold:
		b.keyFlips(t.site, false, t.cause)
	case tPart:
		b.timerDue(t.site, t.cause)
	}
}

// dropTimers cancels all timers of the part at s.
func (b *Bench) dropTimers(s int32) {
	of := func(t timer) bool { return t.site == s && t.what != tStim }
	for i := range b.slots {
		if len(b.slots[i]) > 0 {
			b.slots[i] = slices.DeleteFunc(b.slots[i], of)
		}
	}
	b.due = append(b.due[:b.dueHead], slices.DeleteFunc(b.due[b.dueHead:], of)...)
	b.later = slices.DeleteFunc(b.later, func(l laterTimer) bool { return of(l.timer) })
	b.later.order()
	looked := len(b.looks) == len(b.cur)
	kept := b.head
	for i := b.head; i < len(b.cur); i++ {
		if b.cur[i].site == s {
			continue
		}
		b.cur[kept] = b.cur[i]
		if looked {
			b.looks[kept] = b.looks[i]
		}
		kept++
	}
	b.cur = b.cur[:kept]
	if looked {
		b.looks = b.looks[:kept]
	}
	b.next = slices.DeleteFunc(b.next, func(a act) bool { return a.site == s })
	b.news = append(b.news[:b.nhead], slices.DeleteFunc(b.news[b.nhead:], func(t told) bool { return t.hearer == s })...)
}
