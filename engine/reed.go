package engine

// reedLooks: a reed flips if it wants another state. Only this hands its news on.
func (b *Bench) reedLooks(s int32, cause EventID) {
	st := &b.st[s]
	if (st.live() || b.reedHeld(s)) == st.on() {
		return
	}
	st.flags ^= fOn
	w := Off
	if st.on() {
		w = On
	}
	ev := b.record(s, w, 0, cause)
	b.counts.Reeds++
	b.refreshCords(s)
	b.change(s, ev)
}

// reedHeld reports whether a reed that reads live holds reed s: within run cells in a
// straight line of reeds of the same facing, those between on.
func (b *Bench) reedHeld(s int32) bool {
	facing := b.site[s].facing
	for d := range Dir(6) {
		r := s
		for range b.rules.Run {
			r = b.site[r].nbr[d]
			if r < 0 || b.st[r].kind != Reed || b.site[r].facing != facing {
				break
			}
			if b.st[r].live() {
				return true
			}
			if !b.st[r].on() {
				break
			}
		}
	}
	return false
}
