package engine

// bucketHears: fed, it passes its token on at once; unfed, it sets its timer.
func (b *Bench) bucketHears(s int32, cause EventID) {
	st := &b.st[s]
	if !st.live() {
		if st.flags&fTimer == 0 {
			st.flags |= fTimer
			b.setTimer(timer{site: s, cause: cause, what: tPart}, int64(st.n))
		}
		return
	}
	if front := b.site[s].nbr[b.site[s].facing]; st.on() && b.isHolder(front) && b.hasRoom(front) {
		b.moveToken(s, front, b.record(s, Passes, 0, cause))
	}
}

// bucketDue: still unfed, it drops its token into the holder under it.
func (b *Bench) bucketDue(s int32, cause EventID) {
	st := &b.st[s]
	st.flags &^= fTimer
	if under := b.site[s].nbr[NegZ]; !st.live() && st.on() && b.isHolder(under) && b.hasRoom(under) {
		b.moveToken(s, under, b.record(s, Drops, 0, cause))
	}
}

// bucketFinds is what it finds when it looks, and what is in its way.
func (b *Bench) bucketFinds(s int32) (Reason, ID) {
	st := &b.st[s]
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
}
