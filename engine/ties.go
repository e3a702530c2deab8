package engine

// What a part is tied to: the cells it reads, the parts that read it, its cords. Nothing here is kept; it is found when
// somebody asks.

// Pad is a cell that a part reads.
type Pad struct {
	Cell Cell
	ID   ID   // what stands there, or the bare cell's own; 0 if nothing is known of it
	Far  bool // it does not touch the part, which hears nothing from there
	Live bool // what is read there now; of a meter: whether tokens are there
	Void bool // nothing there could feed the part: of a gate it is no input, a conductor does not go by it
}

// Pads lists what a part reads, in the order in which it counts: its pads, or what is around a conductor. On the shelf
// nothing is.
func (b *Bench) Pads(id ID) []Pad {
	s, err := b.partSite(id)
	if err != nil || b.site[s].shelf {
		return nil
	}
	kind := b.st[s].kind
	cells := b.PadCells(id)
	if traits[kind].Conducts {
		for _, d := range b.order(s) {
			cells = append(cells, b.cell[s].Add(d.Cell()))
		}
	}
	var pads []Pad
	for _, c := range cells {
		d, next := DirOf(c.Sub(b.cell[s]))
		p := Pad{Cell: c, Far: !next, Void: true}
		if !next {
			d = 6
		}
		if n, ok := b.index.find(c, b.cell); ok {
			p.ID = b.id[n]
			switch {
			case kind == Meter:
				p.Live, p.Void = b.tokens(n) > 0, !b.isHolder(n)
			default:
				p.Live, p.Void = b.padLive(s, n, d), !b.canFeed(n, d)
			}
		}
		pads = append(pads, p)
	}
	return pads
}

// Reader is a part that reads another.
type Reader struct {
	ID     ID
	Live   bool // it has power from there now
	Tokens bool // it goes by the tokens held there, not by power
}

// Readers lists the parts that would have power from a part or bare cell while that is on, live or holds a token, or while
// its slug sits there, and those that go by its tokens; those at the ends of its cords come last.
func (b *Bench) Readers(id ID) []Reader {
	if id == 0 || int(id) >= len(b.things) || b.things[id].removed {
		return nil
	}
	s := b.things[id].site
	var found []Reader
	add := func(n int32, live, tokens bool) {
		for i := range found {
			if found[i].ID == b.id[n] && found[i].Tokens == tokens {
				found[i].Live = found[i].Live || live
				return
			}
		}
		if n != s {
			found = append(found, Reader{b.id[n], live, tokens})
		}
	}
	st := &b.st[s]
	t := &traits[st.kind]
	if !b.site[s].shelf {
		switch {
		case (t.Feeds == FeedsFront || st.kind == Told && !b.canFeed(s, 6) && b.spec(s).EverFront()) && st.flags&fPad == 0:
			if n := b.site[s].nbr[b.site[s].facing]; n >= 0 && b.readsNext(s, b.site[s].facing) {
				add(n, b.frontOn(s), false)
			}
		case t.Feeds == FeedsAround, t.Conducts, b.canFeed(s, 6):
			front := int32(-1)
			if b.frontOn(s) {
				front = b.site[s].nbr[b.site[s].facing]
			}
			b.eachAround(s, func(n int32) { add(n, st.flags&fPad != 0 || n == front, false) })
		}
		if st.kind == Shuttle && (Slug(st.op) == Feed || Slug(st.op) == Bridge) {
			near, farther := b.seats(s)
			for _, seat := range []int32{near, farther} {
				if seat < 0 {
					continue
				}
				b.eachAround(seat, func(n int32) { add(n, b.st[seat].flags&fPad != 0, false) })
			}
		}
		if b.isHolder(s) {
			for d, n := range b.site[s].nbr {
				if n < 0 {
					continue
				}
				faces := b.site[n].facing
				if k := b.st[n].kind; k == Meter && faces == Dir(d) || k == Chute && (faces == Dir(d) || faces == Dir(d)^1) {
					add(n, b.tokens(s) > 0, true)
				}
			}
		}
	}
	for k := b.site[s].out; k >= 0; k = b.cords[k].next {
		if b.cords[k].power {
			add(b.cords[k].to, b.cordOn[k], false)
		}
	}
	return found
}

// readsNext reports whether the part in direction d of s reads the power of s: it conducts, or s is a pad of it.
func (b *Bench) readsNext(s int32, d Dir) bool {
	n := b.site[s].nbr[d]
	return traits[b.st[n].kind].Conducts || b.site[s].reads>>d&1 != 0 && b.st[n].kind != Meter
}

// eachAround visits the parts that read the power of cell s from all sides, the far ones last.
func (b *Bench) eachAround(s int32, visit func(n int32)) {
	for _, d := range b.order(s) {
		if n := b.site[s].nbr[d]; n >= 0 && b.readsNext(s, d) {
			visit(n)
		}
	}
	for k := b.site[s].far; k >= 0; k = b.fars[k].next {
		visit(b.fars[k].reader)
	}
}

// Tied is a cord as it lies, and what it carries.
type Tied struct {
	Patched
	Live bool // it carries power, and To reads it live now
}

// CordsOf lists the cords of a part: first those that end there, then those that start there, each in the order made.
func (b *Bench) CordsOf(id ID) []Tied {
	s, err := b.partSite(id)
	if err != nil {
		return nil
	}
	var all []Tied
	add := func(k int32) {
		c := &b.cords[k]
		all = append(all, Tied{Patched{b.id[b.ends[k].from], b.id[c.to], Cord{Power: c.power, News: c.news, Invert: c.inv}}, b.cordOn[k]})
	}
	for k := b.in[s]; k >= 0; k = b.ends[k].nextIn {
		add(k)
	}
	for k := b.site[s].out; k >= 0; k = b.cords[k].next {
		if b.cords[k].to != s { // or it has been listed
			add(k)
		}
	}
	return all
}
