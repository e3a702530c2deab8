package engine

// pending is an edge on its way through an inertial delay.
type pending struct {
	tick int64
	seq  uint32
	on   bool
}

// delayHears: a delay that is told looks at its input.
func (b *Bench) delayHears(s int32, cause EventID) {
	st := &b.st[s]
	in := st.live()
	switch Mode(st.op) {
	case Stretch:
		if in != st.on() && st.flags&fTimer == 0 {
			st.flags |= fTimer
			b.setTimer(timer{site: s, cause: cause, what: tPart}, int64(st.n))
		}
	case Transport:
		if in == (st.flags&fReady != 0) {
			return
		}
		st.flags ^= fReady
		b.setTimer(timer{site: s, cause: cause, what: tEdge}, int64(st.n))
	case Inertial:
		if in == (st.flags&fReady != 0) {
			return
		}
		st.flags ^= fReady
		b.projectEdge(s, in, cause)
	}
}

// projectEdge edits the edges on their way as IEEE 1076-2019, 10.5.2.2 says: those due
// at the new one's tick or later are deleted; of the others those inside the reject
// window stay only if an unbroken run of the new value leads up to the new edge. Edges
// that would change nothing are dropped at once.
func (b *Bench) projectEdge(s int32, on bool, cause EventID) {
	st := &b.st[s]
	x := &b.ext[b.extOf[s]]
	tick := b.tick + int64(st.n)
	due := 0 // edges of this very tick are as good as out: nothing can take them back
	for due < len(x.pending) && x.pending[due].tick <= b.tick {
		due++
	}
	before := st.on() != (due&1 == 1)
	keep := x.pending
	for len(keep) > due && keep[len(keep)-1].tick >= tick {
		keep = keep[:len(keep)-1]
	}
	cut := len(keep) // edges alternate, so at most the last of them has the new value
	if cut > due && keep[cut-1].on == on {
		cut--
	}
	n := cut
	for n > due && keep[n-1].tick >= tick-int64(x.reject) {
		n--
	}
	if n < cut {
		keep = append(keep[:n], keep[cut:]...)
	}
	last := before
	if len(keep) > due {
		last = keep[len(keep)-1].on
		if len(keep) > due+1 && keep[len(keep)-2].on == last || len(keep) == due+1 && last == before {
			keep = keep[:len(keep)-1] // what stood between is gone, so it changes nothing
		}
	}
	if last != on {
		x.gen++
		keep = append(keep, pending{tick, x.gen, on})
		b.setTimer(timer{site: s, cause: cause, arg: x.gen, what: tEdge}, int64(st.n))
	}
	x.pending = keep
}

// delayEdge: an edge comes out of a transport or inertial delay.
func (b *Bench) delayEdge(t timer) {
	if Mode(b.st[t.site].op) == Inertial {
		x := &b.ext[b.extOf[t.site]]
		x.pending = append(x.pending[:0], x.pending[1:]...)
	}
	b.flipSettled(t.site, t.cause)
}

// delayDue: the output of a stretch delay flips, and again after ticks if the input differs.
func (b *Bench) delayDue(s int32, cause EventID) {
	st := &b.st[s]
	st.flags &^= fTimer
	ev := b.flipSettled(s, cause)
	if st.live() != st.on() {
		st.flags |= fTimer
		b.setTimer(timer{site: s, cause: ev, what: tPart}, int64(st.n))
	}
}

// flipSettled flips a front feed and spreads that, levels settled and news queued, so
// that the part can look at its input again before anybody hears.
func (b *Bench) flipSettled(s int32, cause EventID) EventID {
	st := &b.st[s]
	st.flags ^= fOn
	w := Off
	if st.on() {
		w = On
	}
	ev := b.record(s, w, 0, cause)
	if !b.site[s].shelf {
		b.feedFront(s, st.on())
	}
	b.refreshCords(s)
	b.change(s, ev)
	return ev
}

// edgeFinds is what a delay that repeats or swallows edges finds when it looks: an edge, or none.
func (b *Bench) edgeFinds(s int32) Reason {
	st := &b.st[s]
	if st.live() == (st.flags&fReady != 0) {
		return Agreed
	}
	return Acted
}

// delayPosed: what it puts out is the input it last took over.
func (b *Bench) delayPosed(s int32) {
	if st := &b.st[s]; Mode(st.op) != Stretch {
		st.flags |= fReady
	}
}
