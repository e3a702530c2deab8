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

// oneshotFinds is what it finds when it looks.
func (b *Bench) oneshotFinds(s int32) Reason {
	st := &b.st[s]
	switch {
	case !st.live():
		return Agreed
	case st.on():
		return Timed
	case st.flags&fReady == 0:
		return Unready
	}
	return Acted
}

// oneshotPosed: it goes off like one that came on by itself.
func (b *Bench) oneshotPosed(s int32) {
	st := &b.st[s]
	st.flags &^= fReady
	b.setTimer(timer{site: s, what: tPart}, int64(st.n))
}
