package engine

import "fmt"

// Slugs that belong to no shuttle, and shuttles that move these. A loose slug is a seated one whose cell, bare or a jack, is marked in nin. A
// shuttle with a grip has its grip in nin, and in op the slug that it carries: only while that is in transit. One that lets go does not
// have itself marked as in transit, so that it hears as one at rest does.

const (
	gripMask uint16 = 3
	letsGo   uint16 = 4
	looseBit uint16 = 1 // of a bare cell or a jack
)

// grip is what a shuttle does with loose slugs; of other kinds NoGrip.
func (st *state) grip() Grip {
	if st.kind != Shuttle {
		return NoGrip
	}
	return Grip(st.nin & gripMask)
}

// loose reports whether the slug in the cell belongs to no shuttle.
func (st *state) loose() bool {
	return (st.kind == Bare || st.kind == Jack) && st.nin&looseBit != 0
}

// carries reports whether a loose slug is in transit that the shuttle moves.
func (st *state) carries() bool { return st.grip() != NoGrip && Slug(st.op) != NoSlug }

// transit reports whether a slug that the shuttle moves is in transit.
func (st *state) transit() bool { return st.flags&fTransit != 0 || st.carries() }

// PutSlug puts a loose slug into an empty cell or a jack's, or with NoSlug takes the one there away. It tells nobody; levels settle silently.
func (b *Bench) PutSlug(at Cell, what Slug) error {
	if !at.Inside() {
		return errOutside(at)
	}
	if what > Bridge {
		return fmt.Errorf("unknown slug")
	}
	s, known := b.index.find(at, b.cell)
	switch {
	case what == NoSlug && (!known || !b.st[s].loose()):
		return &NoLooseSlug{at}
	case what != NoSlug && known && b.st[s].taken():
		st := &b.st[s]
		t := &TakenCell{Cell: at, Slug: st.seated(), Kind: st.kind, Puts: true}
		if st.kind != Bare && st.kind != Jack {
			t.By, t.Name = b.id[s], b.KindName(b.id[s])
		}
		t.Comes, t.Loose = t.Slug == NoSlug, st.loose()
		return t
	}
	b.own()
	back := b.keepForUndo()
	s = b.siteAt(at)
	b.seatLoose(s, what)
	return b.settleEdit(back)
}

// seatLoose puts a loose slug into a cell, or takes it out.
func (b *Bench) seatLoose(c int32, slug Slug) {
	b.st[c].nin &^= looseBit
	if slug != NoSlug {
		b.st[c].nin |= looseBit
	}
	b.seat(c, slug)
}

// gripMoves is the act of a shuttle with a grip: it takes a loose slug along, goes alone, or lets go of the one in transit and then goes alone.
func (b *Bench) gripMoves(s int32, cause EventID) {
	st := &b.st[s]
	if st.carries() {
		ev := b.record(s, Lands, int32(st.op), cause)
		b.ext[b.extOf[s]].gen++ // the timer of its landing is void
		to := b.putDown(s)
		b.change(to, ev)
		b.goesAlone(s, cause)
		return
	}
	from, to := b.reach(s)
	w := Out
	if st.on() {
		from, to = to, from
		w = Home
	}
	if from < 0 || !b.st[from].loose() || w == Home && st.grip() != PushBack {
		b.goesAlone(s, cause)
		return
	}
	if b.st[to].taken() {
		b.lapse(s, Blocked, cause)
		return
	}
	slug := b.st[from].seated()
	st.op = uint8(slug)
	st.flags ^= fOn
	t := timer{site: s, what: tLand}
	if st.nin&letsGo == 0 {
		st.flags |= fTransit
	} else {
		x := &b.ext[b.extOf[s]]
		x.gen++
		t.arg = x.gen
	}
	t.cause = b.record(s, w, int32(slug), cause)
	b.setTimer(t, b.travel(st))
	b.st[to].slug |= awaited
	b.seatLoose(from, NoSlug)
	b.change(from, t.cause)
	b.refreshCords(s)
	b.change(s, t.cause)
}

// goesAlone: at once, and nothing is in transit.
func (b *Bench) goesAlone(s int32, cause EventID) {
	st := &b.st[s]
	w := Out
	if st.on() {
		w = Home
	}
	st.flags ^= fOn
	ev := b.record(s, w, 0, cause)
	b.refreshCords(s)
	b.change(s, ev)
}

// putDown seats what the shuttle carries where it is heading for.
func (b *Bench) putDown(s int32) (seat int32) {
	st := &b.st[s]
	seat = b.heads(s)
	b.st[seat].slug &^= awaited
	slug := Slug(st.op)
	st.op = uint8(NoSlug)
	b.seatLoose(seat, slug)
	return seat
}
