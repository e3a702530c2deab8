package engine

import "math/bits"

// Power is pushed: when a cell becomes live or dead, the counts of those who read it
// change at once, so that looking is one comparison. Nothing here tells anybody.

// active is the state of a part, wherever it keeps it: on, live, at a level, holding tokens.
func (st *state) active() bool {
	switch st.kind {
	case Battery:
		return true
	case Wire, Jack:
		return st.n > 0 && st.conducts()
	case Tray, Meter:
		return st.n > 0
	}
	return st.on()
}

// frontOn reports whether the part at s is a front feed that is on.
func (b *Bench) frontOn(s int32) bool {
	st := &b.st[s]
	return feeding[st.kind] == FeedsFront && st.active() || st.slug&toldFront != 0
}

// feedsAround works out whether the cell is an all-round feed.
func (st *state) feedsAround() bool {
	return st.forced > 0 || st.seated() == Feed || st.slug&toldAround != 0 || feeding[st.kind] == FeedsAround && st.active()
}

// refresh brings what s feeds all round up to date after its state changed.
func (b *Bench) refresh(s int32) {
	st := &b.st[s]
	now := st.feedsAround()
	if was := st.slug&around != 0; now != was {
		st.slug ^= around
		var d uint16 = 1
		if was {
			d = ^uint16(0)
		}
		for _, n := range b.site[s].nbr {
			if n >= 0 {
				nb := &b.st[n]
				nb.fed += d
				if nb.conducts() {
					b.seeds = append(b.seeds, n)
				}
			}
		}
	}
	b.refreshPad(s)
}

// refreshPad brings the parts that read cell s up to date.
func (b *Bench) refreshPad(s int32) {
	st := &b.st[s]
	now := st.slug&around != 0 || st.n > 0 && st.conducts()
	if was := st.flags&fPad != 0; now == was {
		return
	}
	st.flags ^= fPad
	var d uint16 = 1
	if !now {
		d = ^uint16(0)
	}
	me := &b.site[s]
	front := int32(-1)
	if b.frontOn(s) {
		front = me.nbr[me.facing] // this one reads s live either way
	}
	for m := me.reads; m != 0; m &= m - 1 {
		if n := me.nbr[bits.TrailingZeros8(m)]; n != front {
			b.st[n].pw += d
		}
	}
	for k := me.far; k >= 0; k = b.fars[k].next {
		b.st[b.fars[k].reader].pw += d
	}
}

// feedFront tells the cell in front of s that s, a front feed, went on or off.
func (b *Bench) feedFront(s int32, on bool) {
	me := &b.site[s]
	f := me.nbr[me.facing]
	if f < 0 {
		return
	}
	fs := &b.st[f]
	var d uint16 = 1
	if !on {
		d = ^uint16(0)
	}
	if me.reads>>me.facing&1 != 0 && b.st[s].flags&fPad == 0 {
		fs.pw += d
	}
	if !b.meters(s) {
		fs.fed += d
	}
	if fs.conducts() {
		b.seeds = append(b.seeds, f)
	}
}

// reads is what a cord from s reads.
func (b *Bench) reads(s int32) bool {
	st := &b.st[s]
	return st.forced > 0 || st.active()
}

// refreshCords brings the ends of the cords from s up to date.
func (b *Bench) refreshCords(s int32) {
	k := b.site[s].out
	if k < 0 {
		return
	}
	on := b.reads(s)
	for ; k >= 0; k = b.cords[k].next {
		c := &b.cords[k]
		now := c.power && on != c.inv
		if now != b.cordOn[k] {
			b.setCord(k, now)
		}
	}
}

func (b *Bench) setCord(k int32, on bool) {
	b.cordOn[k] = on
	var d uint16 = 1
	if !on {
		d = ^uint16(0)
	}
	to := b.cords[k].to
	ts := &b.st[to]
	if conducting[ts.kind] {
		ts.fed += d
		if ts.conducts() {
			b.seeds = append(b.seeds, to)
		}
		return
	}
	ts.pw += d
}

// canFeed reports whether the cell in direction d of gate g counts as one of its inputs;
// d is only asked for neighbours, 6 for a pad farther away.
func (b *Bench) canFeed(s int32, d Dir) bool {
	st := &b.st[s]
	if st.flags&fPad != 0 {
		return true
	}
	if sl := st.seated(); sl == Feed || sl == Bridge {
		return true
	}
	if st.kind == Told {
		k := b.spec(s)
		return k.EverConducts() || k.EverAround() || k.EverFront() && d < 6 && b.site[s].facing == d^1
	}
	t := &traits[st.kind]
	return t.Conducts || t.Feeds == FeedsAround || t.Feeds == FeedsFront && d < 6 && b.site[s].facing == d^1
}

// countInputs counts the inputs of gate g again.
func (b *Bench) countInputs(g int32) {
	if b.st[g].kind != Gate {
		return
	}
	n := uint16(0)
	me := &b.site[g]
	for d, s := range me.nbr {
		if s >= 0 && me.pads>>d&1 != 0 && b.canFeed(s, Dir(d)) {
			n++
		}
	}
	for _, off := range b.padsGiven(b.id[g]) {
		if _, next := DirOf(off); next {
			continue
		}
		if s, ok := b.index.find(b.cell[g].Add(off), b.cell); ok && b.canFeed(s, 6) {
			n++
		}
	}
	for k := b.in[g]; k >= 0; k = b.ends[k].nextIn {
		if b.cords[k].power {
			n++
		}
	}
	b.st[g].nin = n
}

// inputsMoved counts the inputs of the gates that read s again, after what can feed there changed.
func (b *Bench) inputsMoved(s int32) {
	me := &b.site[s]
	for _, n := range me.nbr {
		if n >= 0 && b.st[n].kind == Gate {
			b.countInputs(n)
		}
	}
	for k := me.far; k >= 0; k = b.fars[k].next {
		b.countInputs(b.fars[k].reader)
	}
}
