package engine

import "fmt"

// partSite returns the site of a part that is on the bench.
func (b *Bench) partSite(id ID) (int32, error) {
	if id == 0 || int(id) >= len(b.things) || b.things[id].removed || b.things[id].kind == Bare {
		return 0, UnknownID(id)
	}
	return b.things[id].site, nil
}

func (b *Bench) nameFree(name string) error {
	if name == "" {
		return nil
	}
	if id, ok := b.byName[name]; ok {
		return fmt.Errorf("the name %q is taken by the %s at %v", name, b.KindName(id), b.things[id].cell)
	}
	return nil
}

// Place puts a part into a cell and returns its ID. It tells nobody; levels settle
// silently. On an error the bench is as it was.
func (b *Bench) Place(at Cell, p Part) (ID, error) {
	if err := p.prepare(); err != nil {
		return 0, err
	}
	if !at.Inside() {
		return 0, errOutside(at)
	}
	if err := b.nameFree(p.Name); err != nil {
		return 0, err
	}
	s, known := b.index.find(at, b.cell)
	if known {
		st := &b.st[s]
		if st.kind != Bare {
			return 0, &TakenCell{Cell: at, By: b.id[s], Kind: st.kind, Name: b.KindName(b.id[s])}
		}
		if st.slug&(seatedMask|awaited) != 0 && p.Kind != Jack {
			return 0, &TakenCell{Cell: at, Slug: st.seated(), Comes: st.seated() == NoSlug, Loose: st.loose()}
		}
	}
	var seats [2]Cell
	if p.Kind == Shuttle && (p.Slug != NoSlug || p.Grip != NoGrip) {
		d := p.Facing.Cell()
		seats = [2]Cell{at.Add(d), at.Add(d).Add(d)}
		if !seats[1].Inside() {
			return 0, errOutside(seats[1])
		}
		seat := seats[0]
		if p.Out {
			seat = seats[1]
		}
		if c, ok := b.index.find(seat, b.cell); ok && p.Slug != NoSlug && b.st[c].taken() {
			t := &TakenCell{Cell: seat, Seat: true, Slug: b.st[c].seated(), Kind: b.st[c].kind}
			if k := b.st[c].kind; k != Bare && k != Jack {
				t.By, t.Name = b.id[c], b.KindName(b.id[c])
			}
			t.Comes, t.Loose = t.Slug == NoSlug, b.st[c].loose()
			return 0, t
		}
	}
	b.own()
	back := b.keepForUndo()
	if !known {
		s = b.rawSite(at)
	}
	id := b.install(s, at, &p)
	if seats != [2]Cell{} {
		near, farther := b.siteAt(seats[0]), b.siteAt(seats[1])
		if p.Out {
			near = farther
		}
		if p.Slug != NoSlug {
			b.seat(near, p.Slug)
		}
	}
	return id, b.settleEdit(back)
}

// Shelve puts a part on the shelf, where only cords join parts.
func (b *Bench) Shelve(p Part) (ID, error) {
	if err := p.prepare(); err != nil {
		return 0, err
	}
	if err := b.nameFree(p.Name); err != nil {
		return 0, err
	}
	if p.Pads != nil || p.FarSet {
		return 0, fmt.Errorf("a part on the shelf has no pads but its cords")
	}
	if p.Kind == Shuttle && p.Slug != NoSlug {
		return 0, fmt.Errorf("a shuttle on the shelf has no seats; give it no slug")
	}
	if p.Kind == Shuttle && p.Grip != NoGrip {
		return 0, fmt.Errorf("a shuttle on the shelf has no seats; give it no grip")
	}
	b.own()
	s := b.addSite(Cell{}, true)
	id := b.install(s, Cell{}, &p)
	b.settleSilently()
	return id, nil
}

// install makes site s the part p and pushes what that means for power.
func (b *Bench) install(s int32, at Cell, p *Part) ID {
	shelf := b.site[s].shelf
	if b.id[s] != 0 {
		b.things[b.id[s]].removed = true
	}
	id := b.newID(thing{cell: at, site: s, kind: p.Kind, facing: p.Facing, shelf: shelf})
	b.id[s] = id
	b.parts++
	if p.Name != "" {
		b.setName(id, p.Name)
	}
	me := &b.site[s]
	me.facing = p.Facing
	if p.Kind == Told {
		me.spec = b.useSpec(p.Spec)
		b.things[id].spec, b.things[id].posed = me.spec, uint8(p.State)
	}
	st := &b.st[s]
	wasConductor := st.conducts() // a bridge sits here, and a jack comes
	loose := st.nin & looseBit    // in a cell that a jack comes to
	if st.slug&seatedMask == 0 {
		loose = 0
	}
	st.kind = p.Kind
	st.markConductor()
	st.flags &= fRec | fPad
	if !wasConductor {
		st.n = 0
	}
	st.op, st.nin, st.pw = 0, loose, 0
	if st.forced > 0 && p.Kind != Gate {
		st.pw = 1
	}
	if !shelf {
		b.layPads(s, at, p)
	}
	b.pose(s, p)
	if st = &b.st[s]; traits[st.kind].Conducts || st.slug&toldConducts != 0 { // laying pads may have moved it
		b.seeds = append(b.seeds, s)
	}
	b.refresh(s)
	if b.frontOn(s) && !shelf {
		b.feedFront(s, true)
	}
	b.countInputs(s)
	b.inputsMoved(s)
	b.listenAround(s)
	return id
}
