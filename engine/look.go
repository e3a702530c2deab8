package engine

import (
	"fmt"
	"iter"
	"slices"
)

// Thing is what there is to know of a part, or of a bare cell, that does not change.
type Thing struct {
	Part    // as placed
	ID      ID
	Cell    Cell
	Shelf   bool
	Removed bool // of a part that was taken away only kind, name, cell and facing are known
}

// State is what changes.
type State struct {
	On      bool   // on, lit, out; conductor: live; bucket, tray: holds a token; meter: level > 0
	Level   int    // conductor, meter
	Tokens  int    // bucket, tray
	Transit bool   // its slug is in transit
	Queued  bool   // an act is queued
	Timer   bool   // its one timer is set
	Forced  bool   // the cell is forced by a stimulus
	Powered bool   // it reads live; a gate: its inputs call for on
	Armed   bool   // power (of a meter, the tokens behind it) calls for another state than it has, and neither act nor timer nor slug is on its way; a slug that can be let go may be
	Conduct bool   // the cell is a conductor now
	Feeds   bool   // the cell feeds: all round, or its front
	Seated  Slug   // slug seated in this cell
	Told    int    // of a part of a told kind: the number of its state
	Named   string // and its name
	Awaits  bool   // a slug in transit is heading for this cell
	Loose   bool   // the slug seated in this cell belongs to no shuttle
	Carries Slug   // of a shuttle with a grip: the slug that it has in transit
}

// Thing returns what is known of an ID; the zero Thing for one that was never given.
func (b *Bench) Thing(id ID) Thing {
	if id == 0 || int(id) >= len(b.things) {
		return Thing{}
	}
	t := b.things[id]
	r := Thing{ID: id, Cell: t.cell, Shelf: t.shelf, Removed: t.removed,
		Part: Part{Kind: t.kind, Facing: t.facing, Name: b.name(id)}}
	if t.removed || t.kind == Bare {
		return r
	}
	st := &b.st[t.site]
	x := extra{}
	if i := b.extOf[t.site]; i >= 0 {
		x = b.ext[i]
	}
	r.Pads = slices.Clone(b.padsGiven(id))
	if t.kind == Told {
		r.Spec, r.Part.State = b.specs[t.spec], int(st.toldState())
	}
	if t.far > 0 {
		r.Far, r.FarSet = Dir(t.far-1), true
	}
	if traits[t.kind].Timed {
		r.Ticks = int(max(st.n, 0)) // a gate without ticks keeps its truth table there
	}
	switch t.kind {
	case Key:
		r.Hold = int(st.n)
	case Shuttle:
		r.Travel, r.Grip, r.LetGo = int(st.n), st.grip(), st.nin&letsGo != 0
		if r.Grip == NoGrip {
			r.Slug = Slug(st.op)
		}
	case Delay:
		r.Mode, r.Reject = Mode(st.op), int(x.reject)
	case Gate:
		r.Op = Op(st.op)
	case Bucket:
		r.Drop = int(st.n)
	case Tray:
		r.Room, r.Keep = int(x.room), int(x.keep)
	}
	return r
}

// KindOf returns the kind of a part, also of one that was taken away; Bare for a bare cell.
func (b *Bench) KindOf(id ID) Kind {
	if int(id) >= len(b.things) {
		return Bare
	}
	return b.things[id].kind
}

// CellOf returns the cell of a part or bare cell, and whether it is on the lattice.
func (b *Bench) CellOf(id ID) (Cell, bool) {
	if id == 0 || int(id) >= len(b.things) {
		return Cell{}, false
	}
	return b.things[id].cell, !b.things[id].shelf
}

// Name returns the name of a part, "" if it has none.
func (b *Bench) Name(id ID) string { return b.name(id) }

// Label names a part for people: its name, or its kind and place.
func (b *Bench) Label(id ID) string {
	if n := b.name(id); n != "" {
		return n
	}
	if int(id) >= len(b.things) {
		return "?"
	}
	t := b.things[id]
	if t.shelf {
		return fmt.Sprintf("%s #%d", b.KindName(id), id)
	}
	return fmt.Sprintf("%s %v", b.KindName(id), t.cell)
}

// State returns the state of a part or bare cell; the zero State for a part that was taken away.
func (b *Bench) State(id ID) State {
	if id == 0 || int(id) >= len(b.things) || b.things[id].removed {
		return State{}
	}
	return b.stateOf(b.things[id].site)
}

// CellState returns the state of any cell.
func (b *Bench) CellState(c Cell) State {
	if s, ok := b.index.find(c, b.cell); ok {
		return b.stateOf(s)
	}
	return State{}
}

func (b *Bench) stateOf(s int32) State {
	st := &b.st[s]
	r := State{
		On:      st.on(),
		Transit: st.transit(),
		Queued:  st.flags&fQueued != 0,
		Timer:   st.flags&fTimer != 0,
		Forced:  st.forced > 0,
		Powered: st.live(),
		Conduct: st.conducts(),
		Feeds:   st.flags&fPad != 0 || b.frontOn(s),
		Seated:  st.seated(),
		Awaits:  st.slug&awaited != 0,
		Loose:   st.loose(),
	}
	switch st.kind {
	case Shuttle:
		if st.carries() {
			r.Carries = Slug(st.op)
		}
	case Meter:
		r.Level, r.On = int(st.n), st.n > 0
	case Tray, Bucket:
		r.Tokens = int(b.tokens(s))
		r.On = r.Tokens > 0
	case Gate:
		r.Powered = b.gateWants(s)
	case Told:
		r.Told = int(st.toldState())
		r.Named = b.spec(s).States[r.Told]
	}
	if traits[st.kind].Arms {
		found, _ := b.finds(s)
		r.Armed = found == Acted
	}
	if r.Conduct {
		r.Level = int(st.n)
		r.On = st.n > 0
	}
	return r
}

// PartAt returns the part in a cell.
func (b *Bench) PartAt(c Cell) (ID, bool) {
	s, ok := b.index.find(c, b.cell)
	if !ok || b.st[s].kind == Bare {
		return 0, false
	}
	return b.id[s], true
}

// IDAt returns the part in a cell, or the bare cell's own ID if anything is known of it.
func (b *Bench) IDAt(c Cell) (ID, bool) {
	s, ok := b.index.find(c, b.cell)
	if !ok {
		return 0, false
	}
	return b.id[s], true
}

// Parts goes through the parts in the order in which they were placed.
func (b *Bench) Parts() iter.Seq[ID] {
	return func(yield func(ID) bool) {
		for id := 1; id < len(b.things); id++ {
			if t := &b.things[id]; t.kind != Bare && !t.removed && !yield(ID(id)) {
				return
			}
		}
	}
}

// BareCells goes through the cells without a part that matter: seats, far pads, forced cells.
func (b *Bench) BareCells() iter.Seq[ID] {
	return func(yield func(ID) bool) {
		for id := 1; id < len(b.things); id++ {
			if t := &b.things[id]; t.kind == Bare && !t.removed && !yield(ID(id)) {
				return
			}
		}
	}
}

// Len returns the number of parts.
func (b *Bench) Len() int { return b.parts }

// Lookup finds a part by its name; names are unique among the parts of a bench.
func (b *Bench) Lookup(name string) (ID, bool) {
	id, ok := b.byName[name]
	return id, ok
}

// Names goes through the names of the parts on the bench, in the order placed.
func (b *Bench) Names() iter.Seq2[string, ID] {
	return func(yield func(string, ID) bool) {
		for id := range b.Parts() {
			if n := b.name(id); n != "" && !yield(n, id) {
				return
			}
		}
	}
}

// PadCells lists the cells a part reads, in the order in which they count.
func (b *Bench) PadCells(id ID) []Cell {
	s, err := b.partSite(id)
	if err != nil || b.site[s].shelf {
		return nil
	}
	var cells []Cell
	if given := b.padsGiven(id); given != nil {
		for _, off := range given {
			cells = append(cells, b.cell[s].Add(off))
		}
		return cells
	}
	for _, d := range b.order(s) {
		if b.site[s].pads>>d&1 != 0 {
			cells = append(cells, b.cell[s].Add(d.Cell()))
		}
	}
	if k := b.Spec(id); k != nil {
		offs, n := k.Pads.Far(b.site[s].facing)
		for _, off := range offs[:n] {
			cells = append(cells, b.cell[s].Add(off))
		}
	}
	if d := b.things[id].far; d > 0 {
		off := Dir(d - 1).Cell()
		cells = append(cells, b.cell[s].Add(off).Add(off))
	}
	return cells
}

// Tellers lists the parts and cells whose change would let id look: its neighbours in
// neighbour order, then the ends of its cords. A bucket's tokens are noticed by a meter
// behind which it stands and by a chute before or behind it, by nobody else.
func (b *Bench) Tellers(id ID) []ID {
	s, err := b.partSite(id)
	if err != nil || hearing[b.st[s].kind] == HearsNot {
		return nil
	}
	var from []ID
	if !b.site[s].shelf {
		for _, d := range b.order(s) {
			n := b.site[s].nbr[d]
			if n < 0 || hearing[b.st[s].kind] == HearsBehind && d != b.site[s].facing^1 {
				continue
			}
			if k := b.Spec(id); k != nil && k.Hears.Mask(b.site[s].facing)>>d&1 == 0 {
				continue
			}
			if k := b.st[n].kind; !traits[k].Tells {
				f := b.site[s].facing
				if k != Bucket || !(b.st[s].kind == Meter && d == f^1 || b.st[s].kind == Chute && (d == f || d == f^1)) {
					continue
				}
			}
			from = append(from, b.id[n])
		}
	}
	for k := b.in[s]; k >= 0; k = b.ends[k].nextIn {
		if b.cords[k].news {
			from = append(from, b.id[b.ends[k].from])
		}
	}
	return from
}
