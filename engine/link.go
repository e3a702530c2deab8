package engine

// linkMoves: a link goes out or home.
func (b *Bench) linkMoves(s int32, cause EventID) {
	st := &b.st[s]
	st.flags ^= fOn
	what, _ := moved(st)
	ev := b.record(s, what, 0, cause)
	b.refreshCords(s)
	b.change(s, ev)
}
