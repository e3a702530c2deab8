package engine

// Tokens sit in holders: buckets and trays. A token leaves one before it arrives at the
// other; at each of the two first the tray changes, then the meters and chutes beside look.

func (b *Bench) isHolder(s int32) bool {
	return s >= 0 && (b.st[s].kind == Bucket || b.st[s].kind == Tray)
}

func (b *Bench) tokens(s int32) int32 {
	st := &b.st[s]
	switch {
	case st.kind == Tray:
		return st.n
	case st.kind == Bucket && st.on():
		return 1
	}
	return 0
}

func (b *Bench) hasRoom(s int32) bool {
	if b.st[s].kind == Tray {
		return b.st[s].n < b.ext[b.extOf[s]].room
	}
	return !b.st[s].on()
}

// moveToken moves one token; ev is the event that says so.
func (b *Bench) moveToken(from, to int32, ev EventID) {
	b.tokenLeaves(from, ev)
	b.tokenArrives(to, ev)
}

func (b *Bench) tokenLeaves(s int32, ev EventID) {
	st := &b.st[s]
	if st.kind == Bucket {
		st.flags &^= fOn
		b.changeCords(s, ev)
	} else {
		st.n--
		b.ext[b.extOf[s]].gone++
		if st.n == 0 {
			b.trayFlips(s, ev)
		}
	}
	b.tokensMoved(s, ev)
}

func (b *Bench) tokenArrives(s int32, ev EventID) {
	st := &b.st[s]
	if st.kind == Bucket {
		st.flags |= fOn
		b.changeCords(s, ev)
	} else {
		st.n++
		b.keepToken(s, ev)
		if st.n == 1 {
			b.trayFlips(s, ev)
		}
	}
	b.tokensMoved(s, ev)
}

// keepToken counts a token that arrived in tray s and sets the timer that consumes it.
func (b *Bench) keepToken(s int32, ev EventID) {
	x := &b.ext[b.extOf[s]]
	if x.keep > 0 {
		b.setTimer(timer{site: s, cause: ev, arg: x.arrived, what: tKeep}, int64(x.keep))
	}
	x.arrived++
}

// trayFlips: a tray feeds while it holds any token.
func (b *Bench) trayFlips(s int32, ev EventID) {
	b.refresh(s)
	b.refreshCords(s)
	b.change(s, ev)
}

func (b *Bench) tokensMoved(s int32, ev EventID) {
	me := &b.site[s]
	for _, d := range b.order(s) {
		n := me.nbr[d]
		if n < 0 {
			continue
		}
		switch b.st[n].kind {
		case Meter:
			if b.site[n].facing == d {
				b.meterLooks(n, ev)
			}
		case Chute:
			if f := b.site[n].facing; f == d || f == d^1 {
				b.chuteLooks(n, ev)
			}
		}
	}
}

// trayConsumes: a token has been kept long enough.
func (b *Bench) trayConsumes(s int32, cause EventID) {
	b.tokenLeaves(s, b.record(s, Consumes, 0, cause))
}
