package engine

// Remove takes a part away, with its slug, its cords, its timers and its act. It tells
// nobody; levels settle silently. A forced cell stays forced.
func (b *Bench) Remove(id ID) error {
	s, err := b.partSite(id)
	if err != nil {
		return err
	}
	b.own()
	back := b.keepForUndo()
	b.dropTimers(s)
	if near, farther := b.seats(s); near >= 0 {
		to := near
		if b.st[s].on() {
			to = farther
		}
		if b.st[s].transit() { // what it carries goes with it
			b.st[to].slug &^= awaited
		} else {
			b.seat(to, NoSlug)
		}
	}
	for b.site[s].out >= 0 {
		b.cutCord(b.site[s].out)
	}
	for b.in[s] >= 0 {
		b.cutCord(b.in[s])
	}
	if b.frontOn(s) && !b.site[s].shelf {
		b.st[s].flags &^= fOn
		b.st[s].slug &^= toldFront
		if b.st[s].kind == Meter {
			b.st[s].n = 0
		}
		b.feedFront(s, false)
	}
	st := &b.st[s]
	conducted := st.conducts()
	if len(b.fars) > 0 {
		for _, c := range b.PadCells(id) {
			if f, ok := b.index.find(c, b.cell); ok {
				b.dropFars(f, s)
			}
		}
	}
	if conducted {
		b.seedAround(s)
	} else {
		st.n = 0
	}
	loose := uint16(0) // stays, if this is a jack
	if st.loose() {
		loose = looseBit
	}
	st.kind = Bare
	st.slug &^= toldFlags
	st.markConductor()
	st.flags &= fRec | fPad
	st.op, st.nin, st.pw = 0, loose, 0
	if st.forced > 0 {
		st.pw = 1
	}
	b.site[s].pads, b.site[s].facing = 0, PosX
	b.extOf[s] = -1
	b.things[id].pads = 0
	if name := b.name(id); name != "" {
		delete(b.byName, name)
	}
	b.things[id].removed = true
	b.parts--
	if !b.site[s].shelf {
		b.id[s] = b.newID(thing{cell: b.cell[s], site: s})
	}
	b.refresh(s)
	b.inputsMoved(s)
	b.listenAround(s)
	return b.settleEdit(back)
}

// dropFars unlinks the reader from those that read the cell of a site from farther away.
func (b *Bench) dropFars(cell, reader int32) {
	for at := &b.site[cell].far; *at >= 0; {
		f := &b.fars[*at]
		if f.reader != reader {
			at = &f.next
			continue
		}
		f.reader, *at = -1, f.next
	}
}
