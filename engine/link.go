package engine

// linkMoves: a link goes out or home.
func (b *Bench) linkMoves(s int32, cause EventID) {
	st := &b.st[s]
	st.flags ^= fOn
	ev := b.record(s, moved(st), 0, cause)
	b.refreshCords(s)
	b.change(s, ev)
}
