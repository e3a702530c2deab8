package engine

import (
	"maps"
	"slices"

	"pulsewright/engine/kinds"
)

// topo is what editing changes and running does not. A site is a cell that matters: it
// holds a part, or is the seat of a slug, a far pad, or was forced once. A site stays
// for good; its part may come and go. Shelf parts have a site without a cell.
type topo struct {
	site     []site
	cell     []Cell   // one a site
	id       []ID     // one a site: the part in it, or the bare cell's own
	extOf    []int32  // one a site: index into ext, or -1
	in       []int32  // one a site: first cord that ends here, or -1
	mixed    []uint16 // one a site: the number of its neighbour order; nil unless orders are mixed
	index    cellIndex
	cords    []cord
	ends     []cordEnd // one a cord
	fars     []far
	things   []thing  // one an ID; things[0] is no part
	names    []string // by ID, as far as the last one that has a name
	byName   map[string]ID
	specs    []*Spec  // the told kinds
	pads     [][]Cell // given by the user, in the order given; things know theirs
	parts    int
	numbered int // sites when they were last looked at for numbering
	ncond    int // cords made that start at a wire or jack
	nturn    int // of those, the ones that turn power round: only they can keep levels from settling
}

// site is one line of the neighbour table.
type site struct {
	nbr    [6]int32 // sites of the six neighbours by Dir, or -1
	out    int32    // first cord from here, or -1
	far    int32    // first far reader of this cell, or -1
	pads   uint8    // bit d: the neighbour in Dir d is a pad of the part here
	reads  uint8    // bit d: the neighbour in Dir d has this cell as a pad
	ears   uint8    // bit i: the neighbour in the i-th direction of the neighbour order hears changes here
	facing Dir
	shelf  bool
	spec   uint16 // its kind, if it is a told one
}

// cord is one patch cord; the cords from one part, and those into one, are linked in the
// order in which they were made.
type cord struct {
	to, next         int32
	power, news, inv bool
	gone             bool
}

// cordEnd is what running does not need of a cord.
type cordEnd struct {
	from, nextIn int32
	last, lastIn int32 // on the first of a list: its last
	count        int32 // on the first of those that end at one part: how many
}

// far is a part that reads a cell which is not its neighbour; the readers of a cell are linked.
type far struct{ reader, next, cell int32 }

// thing is what stays known of an ID for good.
type thing struct {
	cell    Cell
	site    int32
	kind    Kind
	facing  Dir
	far     uint8 // 1 + the Dir of its far pad; 0 without one
	posed   uint8 // of a told kind, the state it was placed in
	pads    int32 // 1 + the place of the pads given for it, of a told kind that of its first far cell in fars; 0 without any
	removed bool
	shelf   bool
	spec    uint16
}

func (t *topo) init() {
	t.things = make([]thing, 1, 16)
	t.index.init()
}

func (t *topo) clone() topo {
	c := *t
	c.site = copied(t.site)
	c.cell = copied(t.cell)
	c.id = copied(t.id)
	c.extOf = copied(t.extOf)
	c.in = copied(t.in)
	c.mixed = copied(t.mixed)
	c.index = t.index.clone()
	c.cords = copied(t.cords)
	c.ends = copied(t.ends)
	c.fars = copied(t.fars)
	c.things = copied(t.things)
	c.names = copied(t.names)
	c.byName = maps.Clone(t.byName)
	c.pads = copied(t.pads)
	return c
}

// copied is a copy, a long one with room for more: it is copied to be edited, and what grows at once would be copied twice.
func copied[T any](s []T) []T {
	if len(s) < 4096 {
		return append([]T(nil), s...)
	}
	return slices.Grow(slices.Clip(s), 1)
}

// own makes the topology this bench's own before an edit.
func (b *Bench) own() {
	b.edited()
	if b.shared {
		b.topo = b.topo.clone()
		b.shared = false
	}
}

// name is the name of a part, "" if it has none.
func (t *topo) name(id ID) string {
	if int(id) < len(t.names) {
		return t.names[id]
	}
	return ""
}

func (t *topo) setName(id ID, name string) {
	for len(t.names) <= int(id) {
		t.names = append(t.names, "")
	}
	if t.byName == nil {
		t.byName = map[string]ID{}
	}
	t.names[id], t.byName[name] = name, id
}

// padsGiven are the pads that the user gave for a part, nil if it has its kind's own.
func (t *topo) padsGiven(id ID) []Cell {
	if k := t.things[id].pads; k != 0 && t.things[id].kind != Told {
		return t.pads[k-1]
	}
	return nil
}

// newID gives out the next ID.
func (b *Bench) newID(t thing) ID {
	b.things = append(b.things, t)
	return ID(len(b.things) - 1)
}

// addSite makes a site without links, for a bare cell or a shelf part.
func (b *Bench) addSite(c Cell, shelf bool) int32 {
	s := int32(len(b.site))
	b.site = append(b.site, site{nbr: [6]int32{-1, -1, -1, -1, -1, -1}, out: -1, far: -1, shelf: shelf})
	b.cell = append(b.cell, c)
	b.extOf = append(b.extOf, -1)
	b.in = append(b.in, -1)
	if b.rules.Mixed {
		b.mixed = append(b.mixed, b.rules.mixedAt(c))
	}
	b.st = append(b.st, state{})
	b.was = append(b.was, 0)
	b.id = append(b.id, 0)
	return s
}

// siteAt returns the site of a cell and makes it if there is none.
func (b *Bench) siteAt(c Cell) int32 {
	if s, ok := b.index.find(c, b.cell); ok {
		return s
	}
	s := b.rawSite(c)
	b.id[s] = b.newID(thing{cell: c, site: s})
	return s
}

// rawSite makes the site of a cell that has none, links it to its neighbours and counts
// what feeds it. It has no ID yet.
func (b *Bench) rawSite(c Cell) int32 {
	s := b.addSite(c, false)
	b.index.add(c, s, b.cell)
	me := &b.site[s]
	for d, off := range kinds.Offsets {
		n, ok := b.index.find(c.Add(off), b.cell)
		if !ok {
			continue
		}
		me.nbr[d] = n
		b.site[n].nbr[d^1] = s
		b.listen(s, Dir(d))
		if b.st[n].slug&around != 0 {
			b.st[s].fed++
		}
		if b.frontOn(n) && !b.meters(n) && b.site[n].facing == Dir(d^1) {
			b.st[s].fed++
		}
	}
	return s
}

// listen notes whether the neighbour of s in direction d hears changes at s, and whether it reads s.
func (b *Bench) listen(s int32, d Dir) {
	n := b.site[s].nbr[d]
	b.site[s].reads &^= 1 << d
	b.site[s].reads |= b.site[n].pads >> (d ^ 1) & 1 << d
	h := hearing[b.st[n].kind]
	bit := uint8(1) << b.rank(s, d)
	b.site[s].ears &^= bit
	if h != HearsNot && (h != HearsBehind || b.site[n].facing == d) {
		if b.st[n].kind == Told && b.spec(n).Hears.Mask(b.site[n].facing)>>(d^1)&1 == 0 {
			return
		}
		b.site[s].ears |= bit
	}
}

// listenAround notes for all neighbours of n whether n hears them, after its part changed.
func (b *Bench) listenAround(n int32) {
	for d, s := range b.site[n].nbr {
		if s >= 0 {
			b.listen(s, Dir(d^1))
		}
	}
}

// rank is the place of a direction in the neighbour order of s.
func (b *Bench) rank(s int32, d Dir) int {
	for i, o := range b.order(s) {
		if o == d {
			return i
		}
	}
	return -1
}

// cellIndex finds sites by cell: open addressing over site numbers, four bytes a slot.
type cellIndex struct {
	slot []int32 // site+1, 0 if free
	used int
}

func (x *cellIndex) init() { x.slot = make([]int32, 16) }

func (x *cellIndex) clone() cellIndex {
	return cellIndex{slot: append([]int32(nil), x.slot...), used: x.used}
}

func hashCell(c Cell) uint64 {
	h := uint64(uint32(c.X))*0x9E3779B97F4A7C15 ^ uint64(uint32(c.Y))*0xC2B2AE3D27D4EB4F ^ uint64(uint32(c.Z))*0x165667B19E3779F9
	h ^= h >> 32
	h *= 0xD6E8FEB86659FD93
	return h ^ h>>32
}

func (x *cellIndex) find(c Cell, cells []Cell) (int32, bool) {
	mask := uint64(len(x.slot) - 1)
	for i := hashCell(c) & mask; ; i = (i + 1) & mask {
		s := x.slot[i]
		if s == 0 {
			return -1, false
		}
		if cells[s-1] == c {
			return s - 1, true
		}
	}
}

func (x *cellIndex) add(c Cell, s int32, cells []Cell) {
	if x.used*8 >= len(x.slot)*5 {
		old := x.slot
		x.slot = make([]int32, len(old)*2)
		x.used = 0
		for _, o := range old {
			if o != 0 {
				x.put(cells[o-1], o-1)
			}
		}
	}
	x.put(c, s)
}

func (x *cellIndex) put(c Cell, s int32) {
	mask := uint64(len(x.slot) - 1)
	i := hashCell(c) & mask
	for x.slot[i] != 0 {
		i = (i + 1) & mask
	}
	x.slot[i] = s + 1
	x.used++
}
