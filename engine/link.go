package engine

// linkMoves: a link goes out or home.
func (b *Bench) linkMoves(s int32, cause EventID) {
	st := &b.st[s]
	st.flags ^= fOn
	w := Home
	if st.on() {
		w = Out
	}
	ev := b.record(s, w, 0, cause)
	if b.site[s].out >= 0 {
		b.refreshCords(s)
	}
	b.changeLast(s, ev)
}
