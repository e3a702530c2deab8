package engine

// echoHears: one tick after it hears it goes on, for one tick.
func (b *Bench) echoHears(s int32, cause EventID) {
	st := &b.st[s]
	if st.flags&fTimer != 0 {
		return
	}
	st.flags |= fTimer
	b.setTimer(timer{site: s, cause: cause, what: tPart}, 1)
}

func (b *Bench) echoDue(s int32, cause EventID) {
	st := &b.st[s]
	st.flags &^= fTimer
	on := !st.on()
	if on {
		st.flags |= fTimer
	}
	ev := b.flipSettled(s, cause)
	if on {
		b.setTimer(timer{site: s, cause: ev, what: tPart}, 1)
	}
}

// echoPosed: it goes off like one that came on by itself.
func (b *Bench) echoPosed(s int32) {
	b.st[s].flags |= fTimer
	b.setTimer(timer{site: s, what: tPart}, 1)
}
