package engine

// oneshotHears: ready and live, it goes on at once; a dead input makes it ready again.
func (b *Bench) oneshotHears(s int32, cause EventID) {
	st := &b.st[s]
	switch {
	case !st.live():
		st.flags |= fReady
	case !st.on() && st.flags&fReady != 0:
		st.flags &^= fReady
		ev := b.flipSettled(s, cause)
		b.setTimer(timer{site: s, cause: ev, what: tPart}, int64(st.n))
	}
}

// oneshotDue: it goes off.
func (b *Bench) oneshotDue(s int32, cause EventID) {
	b.flipSettled(s, cause)
	if st := &b.st[s]; !st.live() {
		st.flags |= fReady
	}
}
