package engine

import (
	"fmt"
	"slices"
)

// partSite returns the site of a part that is on the bench.
func (b *Bench) partSite(id ID) (int32, error) {
	if id == 0 || int(id) >= len(b.things) || b.things[id].removed || b.things[id].kind == Bare {
		return 0, UnknownID(id)
	}
	return b.things[id].site, nil
}

func inRange(what string, v, least, most int) error {
	if v < least || v > most {
		return fmt.Errorf("%s is %d, want %d to %d", what, v, least, most)
	}
	return nil
}

// prepare checks what Place and Shelve are given and fills in the defaults.
func (p *Part) prepare() error {
	if p.Kind == Bare || p.Kind >= kinds {
		return fmt.Errorf("unknown kind of part %d", p.Kind)
	}
	if p.Facing > NegZ || p.Far > NegZ {
		return fmt.Errorf("unknown direction; want one of +x -x +y -y +z -z")
	}
	if p.Pads != nil || p.FarSet {
		switch p.Kind {
		case Lamp, Reed, Link, Shuttle, Delay, Oneshot, Echo, Gate, Bucket, Chute:
		default:
			return fmt.Errorf("a %v reads no pads", p.Kind)
		}
	}
	if p.FarSet {
		switch p.Kind {
		case Reed, Link, Shuttle, Bucket:
		default:
			return fmt.Errorf("a %v has no far pad; give pads= instead", p.Kind)
		}
		if p.Pads != nil {
			return fmt.Errorf("pads= and far= exclude each other")
		}
	}
	for i, c := range p.Pads {
		if c == (Cell{}) {
			return fmt.Errorf("a part cannot be its own pad")
		}
		if !c.inside() {
			return errOutside(c)
		}
		if slices.Contains(p.Pads[:i], c) {
			return fmt.Errorf("pad %v is given twice", c)
		}
	}
	def := func(v *int, d int) {
		if *v == 0 {
			*v = d
		}
	}
	switch p.Kind {
	case Key:
		return inRange("hold", p.Hold, 0, MaxTicks)
	case Delay:
		def(&p.Ticks, 1)
		if err := inRange("ticks", p.Ticks, 1, MaxTicks); err != nil {
			return err
		}
		if p.Mode > Inertial {
			return fmt.Errorf("unknown mode of a delay")
		}
		if p.Reject != 0 && p.Mode != Inertial {
			return fmt.Errorf("reject belongs to an inertial delay; this one is %v", p.Mode)
		}
		if p.Mode == Inertial {
			def(&p.Reject, p.Ticks)
			return inRange("reject", p.Reject, 1, p.Ticks)
		}
	case Oneshot:
		def(&p.Ticks, 1)
		return inRange("ticks", p.Ticks, 1, MaxTicks)
	case Gate:
		if p.Op > Latch {
			return fmt.Errorf("unknown op of a gate")
		}
		return inRange("ticks", p.Ticks, 0, MaxTicks)
	case Bucket:
		def(&p.Drop, 1)
		if err := inRange("drop", p.Drop, 1, MaxTicks); err != nil {
			return err
		}
		return inRange("tokens", p.Tokens, 0, 1)
	case Tray:
		def(&p.Room, 1)
		if err := inRange("room", p.Room, 1, MaxTicks); err != nil {
			return err
		}
		if err := inRange("keep", p.Keep, 0, MaxTicks); err != nil {
			return err
		}
		return inRange("tokens", p.Tokens, 0, p.Room)
	case Chute:
		def(&p.Ticks, 3)
		return inRange("ticks", p.Ticks, 1, MaxTicks)
	case Meter:
		return inRange("level", p.Level, 0, MaxReach)
	case Shuttle:
		if p.Slug > Bridge {
			return fmt.Errorf("unknown slug")
		}
	}
	return nil
}

func (b *Bench) nameFree(name string) error {
	if name == "" {
		return nil
	}
	if id, ok := b.byName[name]; ok {
		return fmt.Errorf("the name %q is taken by the %v at %v", name, b.things[id].kind, b.things[id].cell)
	}
	return nil
}

// Place puts a part into a cell and returns its ID. It tells nobody; levels settle
// silently. On an error the bench is as it was.
func (b *Bench) Place(at Cell, p Part) (ID, error) {
	if err := p.prepare(); err != nil {
		return 0, err
	}
	if !at.inside() {
		return 0, errOutside(at)
	}
	if err := b.nameFree(p.Name); err != nil {
		return 0, err
	}
	s, known := b.index.find(at, b.cell)
	if known {
		st := &b.st[s]
		if st.kind != Bare {
			return 0, &TakenCell{Cell: at, By: b.id[s], Kind: st.kind}
		}
		if st.slug&(seatedMask|awaited) != 0 && p.Kind != Jack {
			return 0, &TakenCell{Cell: at, Slug: st.seated(), Comes: st.seated() == NoSlug}
		}
	}
	var seats [2]Cell
	if p.Kind == Shuttle && p.Slug != NoSlug {
		d := p.Facing.Cell()
		seats = [2]Cell{at.Add(d), at.Add(d).Add(d)}
		if !seats[1].inside() {
			return 0, errOutside(seats[1])
		}
		seat := seats[0]
		if p.Out {
			seat = seats[1]
		}
		if c, ok := b.index.find(seat, b.cell); ok && b.st[c].taken() {
			t := &TakenCell{Cell: seat, Seat: true, Slug: b.st[c].seated(), Kind: b.st[c].kind}
			if k := b.st[c].kind; k != Bare && k != Jack {
				t.By = b.id[c]
			}
			t.Comes = t.Slug == NoSlug
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
		b.seat(near, p.Slug)
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
	st := &b.st[s]
	wasConductor := st.conducts() // a bridge sits here, and a jack comes
	st.kind = p.Kind
	st.markConductor()
	st.flags &= fRec | fPad
	if !wasConductor {
		st.n = 0
	}
	st.op, st.nin, st.pw = 0, 0, 0
	if st.forced > 0 && p.Kind != Gate {
		st.pw = 1
	}
	if !shelf {
		b.layPads(s, at, p)
	}
	b.pose(s, p)
	if st.kind == Wire || st.kind == Jack {
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

// layPads notes which cells the part at s reads and counts those that are live.
func (b *Bench) layPads(s int32, at Cell, p *Part) {
	front, back := uint8(1)<<p.Facing, uint8(1)<<(p.Facing^1)
	mask, distant := uint8(0), Cell{}
	switch p.Kind {
	case Lamp:
		mask = 63
	case Reed, Link, Shuttle, Gate, Bucket:
		mask = 63 &^ front
		far := p.Facing ^ 1
		if p.Kind == Bucket {
			far = NegZ
		}
		if p.FarSet {
			far = p.Far
		}
		if p.Kind != Gate {
			distant = far.Cell().Add(far.Cell())
			if p.Pads == nil {
				b.things[b.id[s]].far = uint8(far) + 1
			}
		}
	case Delay, Oneshot, Echo, Meter:
		mask = back
	case Chute:
		mask = 63 &^ front &^ back
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
	if !c.inside() {
		return
	}
	f := b.siteAt(c)
	b.fars = append(b.fars, far{s, b.site[f].far, f})
	b.site[f].far = int32(len(b.fars) - 1)
	if b.st[f].flags&fPad != 0 {
		b.st[s].pw++
	}
}

// pose gives a new part its state and what its kind needs.
func (b *Bench) pose(s int32, p *Part) {
	st := &b.st[s]
	on := p.On
	var x extra
	needs := false
	switch p.Kind {
	case Key:
		st.n = int32(p.Hold)
		needs = p.Hold > 0
	case Link, Shuttle:
		on = p.Out
		st.op = uint8(p.Slug)
	case Delay:
		st.n, st.op = int32(p.Ticks), uint8(p.Mode)
		x.reject = int32(p.Reject)
		needs = p.Mode == Inertial
	case Oneshot:
		st.n = int32(p.Ticks)
		st.flags |= fReady
	case Echo:
	case Gate:
		st.n, st.op = int32(p.Ticks), uint8(p.Op)
	case Bucket:
		st.n = int32(p.Drop)
		on = p.Tokens > 0
	case Tray:
		x.room, x.keep = int32(p.Room), int32(p.Keep)
		needs = true
		on = false
	case Chute:
		st.n = int32(p.Ticks)
		on = false
	case Meter:
		st.n = int32(min(p.Level, b.rules.Reach))
		on = false
	case Lamp, Reed:
	default:
		on = false
	}
	st.tabulate()
	if on {
		st.flags |= fOn
		if p.Kind == Delay && p.Mode != Stretch {
			st.flags |= fReady
		}
	}
	if needs {
		b.extOf[s] = int32(len(b.ext))
		b.ext = append(b.ext, x)
	}
	if p.Kind == Tray {
		for range p.Tokens {
			st.n++
			b.keepToken(s, 0)
		}
	}
	// A posed echo or oneshot goes off by itself like one that came on by itself; a posed
	// key with hold likewise.
	if on {
		switch {
		case p.Kind == Echo:
			st.flags |= fTimer
			b.setTimer(timer{site: s, what: tPart}, 1)
		case p.Kind == Oneshot:
			st.flags &^= fReady
			b.setTimer(timer{site: s, what: tPart}, int64(st.n))
		case p.Kind == Key && p.Hold > 0:
			x := &b.ext[b.extOf[s]]
			x.gen++
			b.setTimer(timer{site: s, arg: x.gen, what: tHold}, int64(st.n))
		}
	}
}

// Fill poses exactly so many tokens in a bucket or tray, silently.
func (b *Bench) Fill(id ID, tokens int) error {
	s, err := b.partSite(id)
	if err != nil {
		return err
	}
	back := b.keepForUndo()
	st := &b.st[s]
	switch st.kind {
	case Bucket:
		if err := inRange("tokens", tokens, 0, 1); err != nil {
			return err
		}
		b.edited()
		st.flags &^= fOn
		if tokens == 1 {
			st.flags |= fOn
		}
	case Tray:
		x := &b.ext[b.extOf[s]]
		if err := inRange("tokens", tokens, 0, int(x.room)); err != nil {
			return err
		}
		b.edited()
		x.gone = x.arrived
		st.n = 0
		for range tokens {
			st.n++
			b.keepToken(s, 0)
		}
		b.refresh(s)
	default:
		return fmt.Errorf("a %v holds no tokens; want a bucket or a tray", st.kind)
	}
	b.refreshCords(s)
	return b.settleEdit(back)
}

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
		if b.st[s].flags&fTransit != 0 {
			b.st[to].slug &^= awaited
		} else {
			b.seat(to, NoSlug)
		}
	}
	for k := range b.cords {
		if c := &b.cords[k]; !c.gone && (b.ends[k].from == s || c.to == s) {
			b.cutCord(int32(k))
		}
	}
	if b.frontOn(s) && !b.site[s].shelf {
		b.st[s].flags &^= fOn
		if b.st[s].kind == Meter {
			b.st[s].n = 0
		}
		b.feedFront(s, false)
	}
	st := &b.st[s]
	conducted := st.conducts()
	for f := range b.fars {
		if b.fars[f].reader == s {
			b.dropFar(int32(f))
		}
	}
	if conducted {
		b.seeds = append(b.seeds, s)
		for _, n := range b.site[s].nbr {
			if n >= 0 && b.st[n].conducts() {
				b.seeds = append(b.seeds, n)
			}
		}
	} else {
		st.n = 0
	}
	st.kind = Bare
	st.markConductor()
	st.flags &= fRec | fPad
	st.op, st.nin, st.pw = 0, 0, 0
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

// dropFar unlinks one far reader.
func (b *Bench) dropFar(f int32) {
	b.fars[f].reader = -1
	at := &b.site[b.fars[f].cell].far
	for *at != f {
		at = &b.fars[*at].next
	}
	*at = b.fars[f].next
}
