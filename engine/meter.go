package engine

// meterLooks reads the tokens behind the meter and feeds its front with that level.
func (b *Bench) meterLooks(s int32, cause EventID) {
	st := &b.st[s]
	level := int32(0)
	me := &b.site[s]
	if back := me.nbr[me.facing^1]; back >= 0 {
		level = min(b.tokens(back), int32(b.rules.Reach))
	}
	if level == st.n {
		return
	}
	ev := b.record(s, Level, level, cause)
	b.meterSet(s, level)
	b.refreshCords(s)
	b.change(s, ev)
}

// meterSet changes the level a meter feeds its front with.
func (b *Bench) meterSet(s, level int32) {
	st := &b.st[s]
	was := st.n
	st.n = level
	if (was > 0) != (level > 0) {
		b.feedFront(s, level > 0)
	} else if f := b.site[s].nbr[b.site[s].facing]; f >= 0 && b.st[f].conducts() {
		b.seeds = append(b.seeds, f)
	}
}
