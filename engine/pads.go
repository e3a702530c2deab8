package engine

import "slices"

// layPads notes which cells the part at s reads and counts those that are live.
func (b *Bench) layPads(s int32, at Cell, p *Part) {
	if p.Kind == Told {
		b.layGroups(s, at, p)
		return
	}
	t := &traits[p.Kind]
	mask, distant := t.Pads.Mask(p.Facing), Cell{}
	if t.Far != NoFar {
		far := t.Far.Dir(p.Facing)
		if p.FarSet {
			far = p.Far
		}
		distant = far.Cell().Add(far.Cell())
		if p.Pads == nil {
			b.things[b.id[s]].far = uint8(far) + 1
		}
	}
	if p.Pads != nil {
		mask, distant = 0, Cell{}
		b.pads = append(b.pads, slices.Clone(p.Pads))
		b.things[b.id[s]].pads = int32(len(b.pads))
		for _, off := range p.Pads {
			if d, next := DirOf(off); next {
				mask |= 1 << d
			} else {
				b.readFar(s, at.Add(off))
			}
		}
	} else if distant != (Cell{}) {
		b.readFar(s, at.Add(distant))
	}
	b.readBeside(s, mask)
}

// layGroups does the same for a part of a told kind.
func (b *Bench) layGroups(s int32, at Cell, p *Part) {
	b.readBeside(s, p.Spec.Pads.Mask(p.Facing))
	offs, n := p.Spec.Pads.Far(p.Facing)
	if n > 0 {
		b.things[b.id[s]].pads = int32(len(b.fars)) + 1
	}
	for _, off := range offs[:n] {
		b.readFar(s, at.Add(off))
	}
}

// readBeside makes neighbours of the part at s its pads, a bit for each direction.
func (b *Bench) readBeside(s int32, mask uint8) {
	b.site[s].pads = mask
	st := &b.st[s]
	for d, n := range b.site[s].nbr {
		if n >= 0 && mask>>d&1 != 0 && b.padLive(s, n, Dir(d)) {
			st.pw++
		}
	}
}

// readFar makes the part at s a reader of a cell farther away.
func (b *Bench) readFar(s int32, c Cell) {
	if !c.Inside() {
		return
	}
	f := b.siteAt(c)
	b.fars = append(b.fars, far{s, b.site[f].far, f})
	b.site[f].far = int32(len(b.fars) - 1)
	if b.st[f].flags&fPad != 0 {
		b.st[s].pw++
	}
}
