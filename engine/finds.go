package engine

// finds is what the part at s would find if it looked now, and what is in its way.
func (b *Bench) finds(s int32) (Reason, ID) {
	st := &b.st[s]
	if st.kind == Delay && Mode(st.op) != Stretch {
		if st.live() == (st.flags&fReady != 0) {
			return Agreed, 0
		}
		return Acted, 0
	}
	switch {
	case st.flags&fTransit != 0:
		return Travels, 0
	case st.flags&fQueued != 0:
		return Waits, 0
	case st.flags&fTimer != 0 && st.kind != Bucket:
		return Timed, 0
	}
	switch st.kind {
	case Oneshot:
		switch {
		case !st.live():
			return Agreed, 0
		case st.on():
			return Timed, 0
		case st.flags&fReady == 0:
			return Unready, 0
		}
		return Acted, 0
	case Echo:
		return Acted, 0
	case Bucket:
		to := b.site[s].nbr[b.site[s].facing]
		if !st.live() {
			to = b.site[s].nbr[NegZ]
		}
		switch {
		case !st.on():
			return Empty, 0
		case !b.isHolder(to):
			return NoHolder, 0
		case !b.hasRoom(to):
			return InTheWay, b.id[to]
		case !st.live() && st.flags&fTimer != 0:
			return Timed, 0
		}
		return Acted, 0
	case Chute:
		back, front, _ := b.chuteMay(s)
		switch {
		case st.live():
			return Fed, 0
		case !b.isHolder(back) || !b.isHolder(front):
			return NoHolder, 0
		case b.tokens(back) == 0:
			return Empty, b.id[back]
		case !b.hasRoom(front):
			return InTheWay, b.id[front]
		}
		return Acted, 0
	case Meter:
		back := b.site[s].nbr[b.site[s].facing^1]
		level := int32(0)
		if back >= 0 {
			level = min(b.tokens(back), int32(b.rules.Reach))
		}
		switch {
		case level != st.n:
			return Acted, 0
		case !b.isHolder(back):
			return NoHolder, 0
		}
		return Agreed, 0
	}
	if b.calls(s) == st.on() {
		return Agreed, 0
	}
	return Acted, 0
}

// inTheWay is what keeps the shuttle's slug from the seat it needs, or a token from its holder: a part, or the
// shuttle whose slug sits there or is on its way there.
func (b *Bench) inTheWay(s int32) ID {
	if b.st[s].kind != Shuttle {
		_, by := b.finds(s)
		return by
	}
	near, to := b.seats(s)
	if b.st[s].on() {
		to = near
	}
	if to < 0 {
		return 0
	}
	if st := &b.st[to]; st.kind != Bare && st.kind != Jack {
		return b.id[to]
	}
	for _, other := range b.seatedBy(to) {
		if other != s && b.heads(other) == to {
			return b.id[other]
		}
	}
	return 0
}

// heads is the seat where the slug of a shuttle sits, or which it is heading for; -1 if it has none.
func (b *Bench) heads(shuttle int32) int32 {
	near, farther := b.seats(shuttle)
	if b.st[shuttle].on() {
		return farther
	}
	return near
}
