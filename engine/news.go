package engine

import (
	"math/bits"
	"slices"
)

// told is one piece of news on its way: hearer is told by teller because of cause.
type told struct {
	hearer, teller int32
	cause          EventID
}

// change spreads a change at s, whose power has been pushed already: tells the six
// neighbours and the cords, settles the levels, and lets the conductors that changed
// tell. cause is the event of the change. News is queued, not delivered.
func (b *Bench) change(s int32, cause EventID) {
	start := len(b.news)
	b.tellFrom(s, cause)
	if len(b.seeds) > 0 {
		b.settle()
		b.walk(s, cause)
	}
	b.batch(start)
}

// batch puts the news of one change, queued from start on, into the order of the rule:
// under lifo they go on top, the first uppermost.
func (b *Bench) batch(start int) {
	if b.rules.News == LIFO {
		slices.Reverse(b.news[start:])
	}
}

// tellFrom queues the news of s for those of its neighbours that hear it, in neighbour
// order, and for its cords.
func (b *Bench) tellFrom(s int32, cause EventID) {
	me := &b.site[s]
	order := b.order(s)
	for m := me.ears; m != 0; m &= m - 1 {
		n := me.nbr[order[bits.TrailingZeros8(m)]]
		b.news = append(b.news, told{n, s, cause})
	}
	if me.out >= 0 {
		b.tellCords(s, cause)
	}
}

func (b *Bench) tellCords(s int32, cause EventID) {
	for k := b.site[s].out; k >= 0; k = b.cords[k].next {
		if c := &b.cords[k]; c.news && hearing[b.st[c.to].kind] != HearsNot {
			b.news = append(b.news, told{c.to, -1, cause})
		}
	}
}

// changeCords spreads a change that only cords notice: of a lamp, of a bucket.
func (b *Bench) changeCords(s int32, cause EventID) {
	if b.site[s].out < 0 {
		return
	}
	b.refreshCords(s)
	start := len(b.news)
	b.tellCords(s, cause)
	if len(b.seeds) > 0 {
		b.settle()
		b.walk(s, cause)
	}
	b.batch(start)
}

// walk lets the conductors that changed log and tell, breadth first from s through
// changed conductors; those it cannot reach follow in the order of their numbers.
func (b *Bench) walk(s int32, cause EventID) {
	if len(b.changed) == 0 {
		return
	}
	b.counts.Levels += int64(len(b.changed))
	b.walked = append(b.walked[:0], s)
	rootTells := b.st[s].flags&fMark != 0
	b.st[s].flags &^= fMark
	told := 0
	for head := 0; head < len(b.walked); head++ {
		s := b.walked[head]
		if head > 0 || rootTells {
			b.conductorTells(s, cause)
			told++
		}
		me := &b.site[s]
		for _, d := range b.order(s) {
			if n := me.nbr[d]; n >= 0 && b.st[n].flags&fMark != 0 {
				b.st[n].flags &^= fMark
				b.walked = append(b.walked, n)
			}
		}
		for k := me.out; k >= 0; k = b.cords[k].next {
			if n := b.cords[k].to; b.st[n].flags&fMark != 0 {
				b.st[n].flags &^= fMark
				b.walked = append(b.walked, n)
			}
		}
	}
	if told < len(b.changed) {
		slices.SortFunc(b.changed, func(x, y int32) int { return int(b.id[x]) - int(b.id[y]) })
		for _, s := range b.changed {
			if b.st[s].flags&fMark != 0 {
				b.st[s].flags &^= fMark
				b.conductorTells(s, cause)
			}
		}
	}
	b.changed = b.changed[:0]
}

func (b *Bench) conductorTells(s int32, cause EventID) {
	switch {
	case b.was[s] == 0:
		cause = b.record(s, Live, 0, cause)
	case b.st[s].n == 0:
		cause = b.record(s, Dead, 0, cause)
	}
	if b.levels != nil {
		b.levels(b.id[s], int(b.st[s].n), cause)
	}
	b.tellFrom(s, cause)
}

// deliver delivers all news, and what it causes, until none is left.
func (b *Bench) deliver() {
	if len(b.news) == 0 {
		return
	}
	heard := 0
	for len(b.news) > b.nhead {
		var t told
		if b.rules.News == LIFO {
			t = b.news[len(b.news)-1]
			b.news = b.news[:len(b.news)-1]
		} else {
			t = b.news[b.nhead]
			if b.nhead++; b.nhead == len(b.news) {
				b.news, b.nhead = b.news[:0], 0
			}
		}
		b.counts.News++
		if b.heard != nil {
			b.heard(t.hearer, t.teller, t.cause)
		}
		b.hear(t.hearer, t.teller, t.cause)
		if heard++; heard > mostNews || b.broken != nil {
			if b.broken == nil && heard > mostNews-newsWatched+mostNewsPer*(len(b.site)+len(b.cords)) {
				b.watchEndless(t.hearer, heard)
			}
			if b.broken != nil {
				b.news, b.nhead = b.news[:0], 0
				return
			}
		}
	}
	b.endless = nil
}

// hearLazy queues an act, or sets the timer of a slow gate, if the part wants another
// state than it has and nothing is on its way yet.
func (b *Bench) hearLazy(s int32, cause EventID) {
	st := &b.st[s]
	if st.flags&(fQueued|fTransit|fTimer) != 0 {
		return
	}
	if st.kind != Gate {
		if st.live() == st.on() {
			return
		}
	} else {
		if b.gateWants(s) == st.on() {
			return
		}
		if st.n > 0 {
			st.flags |= fTimer
			b.setTimer(timer{site: s, cause: cause, what: tPart}, int64(st.n))
			return
		}
	}
	st.flags |= fQueued
	b.next = append(b.next, act{s, cause})
}

// watchEndless takes down who is told in a turn that does not end, and breaks it off.
func (b *Bench) watchEndless(hearer int32, heard int) {
	if b.endless == nil {
		b.endless = &EndlessNews{At: b.at}
	}
	e := b.endless
	if id := b.id[hearer]; !slices.Contains(e.Parts, id) {
		e.Parts, e.names = append(e.Parts, id), append(e.names, b.Label(id))
	}
	if e.Count++; e.Count == newsWatched {
		e.Count = heard
		b.broken, b.endless = e, nil
	}
}
