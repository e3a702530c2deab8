package engine

// meterLooks reads the tokens behind the meter and feeds its front with that level.
func (b *Bench) meterLooks(s int32, cause EventID) {
	st := &b.st[s]
	level := b.meterReads(s)
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

// meterReads is the level that the tokens behind it call for.
func (b *Bench) meterReads(s int32) int32 {
	me := &b.site[s]
	if back := me.nbr[me.facing^1]; back >= 0 {
		return min(b.tokens(back), int32(b.rules.Reach))
	}
	return 0
}

// meterFinds is what it finds when it looks.
func (b *Bench) meterFinds(s int32) Reason {
	switch {
	case b.meterReads(s) != b.st[s].n:
		return Acted
	case !b.isHolder(b.site[s].nbr[b.site[s].facing^1]):
		return NoHolder
	}
	return Agreed
}
