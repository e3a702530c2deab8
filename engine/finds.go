package engine

// inTheWay is what keeps the shuttle's slug from the seat it needs, or a token from its holder: a part, or the
// shuttle whose slug sits there or is on its way there.
func (b *Bench) inTheWay(s int32) ID {
	if b.st[s].kind != Shuttle {
		_, by := b.finds(s)
		return by
	}
	near, to := b.seats(s)
	if b.st[s].on() {
		to = near
	}
	if to < 0 {
		return 0
	}
	if st := &b.st[to]; st.kind != Bare && st.kind != Jack {
		return b.id[to]
	}
	for _, other := range b.seatedBy(to) {
		if other != s && b.heads(other) == to {
			return b.id[other]
		}
	}
	return 0
}

// heads is the seat where the slug of a shuttle sits, or which it is heading for; -1 if it has none.
func (b *Bench) heads(shuttle int32) int32 {
	near, farther := b.seats(shuttle)
	if b.st[shuttle].on() {
		return farther
	}
	return near
}
