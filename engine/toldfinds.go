package engine

// What a part of a told kind would do if it were told: for those who explain. Its table may ask who tells it.

// callsTo reports whether the power of the part at s calls for on; of a told kind, which may ask who tells it, whether it would change if from did.
func (b *Bench) callsTo(s, from int32) bool {
	if b.st[s].kind == Told {
		return b.toldWants(s, b.teller(s, from)) != b.st[s].toldState()
	}
	return b.calls(s)
}

// findsTold is what the part at s finds as from tells it.
func (b *Bench) findsTold(s, from int32) (Reason, ID) {
	r, way := b.finds(s)
	if b.st[s].kind == Told && (r == Acted || r == Agreed) {
		if r = Agreed; b.callsTo(s, from) {
			r = Acted
		}
	}
	return r, way
}

// toldArmed reports whether the part would react if one who may tell it did.
func (b *Bench) toldArmed(s int32) bool {
	for _, by := range b.spec(s).HeardBy() {
		if b.toldWants(s, by) != b.st[s].toldState() {
			return true
		}
	}
	return false
}

// Moves is the state that a part of a told kind would have, nothing of it being on its way, if one of those who may tell it did.
func (b *Bench) Moves(id, teller ID) (state int, moves bool) {
	s := b.things[id].site
	from := fromCord
	for _, n := range b.site[s].nbr {
		if n >= 0 && b.id[n] == teller && !b.site[s].shelf {
			from = n
		}
	}
	want := b.toldWants(s, b.teller(s, from))
	return int(want), want != b.st[s].toldState()
}

// CallsFor is the number of the state that a part of a told kind would have, if one who may tell it did: the first other than its own.
func (b *Bench) CallsFor(id ID) int {
	s := b.things[id].site
	is := b.st[s].toldState()
	for _, by := range b.spec(s).HeardBy() {
		if w := b.toldWants(s, by); w != is {
			return int(w)
		}
	}
	return int(is)
}
