package engine

// seats returns the near and the far seat of shuttle s; -1 if it has none: on the shelf, or without a slug now.
func (b *Bench) seats(s int32) (near, farther int32) {
	if b.st[s].kind != Shuttle || Slug(b.st[s].op) == NoSlug {
		return -1, -1
	}
	return b.reach(s)
}

// reach is seats, also of a shuttle with a grip that moves nothing now.
func (b *Bench) reach(s int32) (near, farther int32) {
	st := &b.st[s]
	if st.kind != Shuttle || b.site[s].shelf || Slug(st.op) == NoSlug && st.grip() == NoGrip {
		return -1, -1
	}
	d := b.site[s].facing
	near = b.site[s].nbr[d]
	return near, b.site[near].nbr[d]
}

// travel is how many ticks the slug of a shuttle is in transit.
func (b *Bench) travel(st *state) int64 {
	if st.n > 0 {
		return int64(st.n)
	}
	return int64(b.rules.Travel)
}

// taken reports whether a slug cannot sit in the cell: a part other than a jack, another slug,
// or one on its way there.
func (st *state) taken() bool {
	return st.kind != Bare && st.kind != Jack || st.slug&(seatedMask|awaited) != 0
}

// shuttleMoves: breaking is instant. The slug leaves its seat at once and is in transit.
func (b *Bench) shuttleMoves(s int32, cause EventID) {
	st := &b.st[s]
	if st.grip() != NoGrip {
		b.gripMoves(s, cause)
		return
	}
	from, to := b.seats(s)
	w := Out
	if st.on() {
		from, to = to, from
		w = Home
	}
	if to >= 0 && b.st[to].taken() {
		b.lapse(s, Blocked, cause)
		return
	}
	st.flags ^= fOn
	st.flags |= fTransit
	ev := b.record(s, w, 0, cause)
	b.setTimer(timer{site: s, cause: ev, what: tLand}, b.travel(st))
	if from >= 0 {
		b.st[to].slug |= awaited
		b.seat(from, NoSlug)
		b.change(from, ev)
	}
	b.refreshCords(s)
	b.change(s, ev)
}

// slugLands: making is late.
func (b *Bench) slugLands(s int32, cause EventID) {
	st := &b.st[s]
	st.flags &^= fTransit
	arg := int32(0)
	if st.carries() {
		arg = int32(st.op)
	}
	ev := b.record(s, Lands, arg, cause)
	start := len(b.news)
	to := b.heads(s)
	switch {
	case st.carries():
		b.putDown(s)
	case to >= 0:
		b.st[to].slug &^= awaited
		b.seat(to, Slug(st.op))
	}
	if to >= 0 {
		b.tellFrom(to, ev)
		if len(b.seeds) > 0 {
			b.settle()
			b.walk(to, ev)
		}
	}
	b.news = append(b.news, told{s, -1, ev})
	b.batch(start)
}

// seat puts a slug into a cell or takes it out, and pushes what that means for power.
func (b *Bench) seat(c int32, slug Slug) {
	st := &b.st[c]
	could := st.conducts()
	st.slug = st.slug&^seatedMask | cellFlag(slug)
	st.markConductor()
	if could || st.conducts() {
		b.seedAround(c)
	}
	b.refresh(c)
	b.inputsMoved(c)
}

// inTheWay is what keeps the shuttle's slug from the seat it needs, or a token from its holder: a part, the
// shuttle whose slug sits there or is on its way there, or the cell of a loose slug.
func (b *Bench) inTheWay(s int32) ID {
	if b.st[s].kind != Shuttle {
		_, by := b.finds(s)
		return by
	}
	near, to := b.reach(s)
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
	if b.st[to].loose() {
		return b.id[to]
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

// seedAround notes that the level of a cell and of its neighbours may change, for it begins or ceases to conduct.
func (b *Bench) seedAround(c int32) {
	b.seeds = append(b.seeds, c)
	for _, n := range b.site[c].nbr {
		if n >= 0 && b.st[n].conducts() {
			b.seeds = append(b.seeds, n)
		}
	}
}
