package engine

// chuteMay reports whether a chute would move a token now, and between which holders.
func (b *Bench) chuteMay(s int32) (back, front int32, ok bool) {
	me := &b.site[s]
	back, front = me.nbr[me.facing^1], me.nbr[me.facing]
	ok = !b.st[s].live() && b.isHolder(back) && b.isHolder(front) && b.tokens(back) > 0 && b.hasRoom(front)
	return back, front, ok
}

// chuteLooks sets the chute's timer if it could move a token.
func (b *Bench) chuteLooks(s int32, cause EventID) {
	st := &b.st[s]
	if st.flags&fTimer != 0 {
		return
	}
	if _, _, ok := b.chuteMay(s); ok {
		st.flags |= fTimer
		b.setTimer(timer{site: s, cause: cause, what: tPart}, int64(st.n))
	}
}

// chuteDue moves one token if it still could, and looks again.
func (b *Bench) chuteDue(s int32, cause EventID) {
	b.st[s].flags &^= fTimer
	if back, front, ok := b.chuteMay(s); ok {
		ev := b.record(s, Moves, 0, cause)
		b.moveToken(back, front, ev)
		b.chuteLooks(s, ev)
	}
}

// chuteFinds is what it finds when it looks, and what is in its way.
func (b *Bench) chuteFinds(s int32) (Reason, ID) {
	back, front, _ := b.chuteMay(s)
	switch {
	case b.st[s].live():
		return Fed, 0
	case !b.isHolder(back) || !b.isHolder(front):
		return NoHolder, 0
	case b.tokens(back) == 0:
		return Empty, b.id[back]
	case !b.hasRoom(front):
		return InTheWay, b.id[front]
	}
	return Acted, 0
}
