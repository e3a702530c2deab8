package engine

// lampLooks: a lamp is lit while it reads live.
func (b *Bench) lampLooks(s int32, cause EventID) {
	st := &b.st[s]
	if st.live() == st.on() {
		return
	}
	st.flags ^= fOn
	w := Dark
	if st.on() {
		w = Lit
	}
	b.changeCords(s, b.record(s, w, 0, cause))
}
