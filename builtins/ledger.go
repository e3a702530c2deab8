package builtins

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/engine"
)

// ledger is one run of a machine, slice by slice: what each slice is made of, and what happened there. Slice k is the
// layer of cells k pitches away from the frame; where exactly the cuts lie does not matter, for all are a pitch apart.
type ledger struct {
	size   int
	first  int // number of the first slice
	slices []slab
	order  []entryAt // all events, in the order in which they happened
}

// slab is one slice of a run.
type slab struct {
	made   string // parts, cords and pose, in cells of the slice
	events []entryLine
}

// entryLine is an event in a slice.
type entryLine struct {
	cell engine.Cell // in the slice
	what engine.What
	arg  int32
	when lag
}

type entryAt struct{ slab, event int32 }

// lag is a time, or the difference of two, in ticks and steps apart.
type lag struct{ ticks, steps int64 }

func (a lag) sub(b lag) lag { return lag{a.ticks - b.ticks, a.steps - b.steps} }

// sign is that of the ticks; within a tick that of the steps.
func (a lag) sign() int {
	for _, n := range [...]int64{a.ticks, a.steps} {
		switch {
		case n < 0:
			return -1
		case n > 0:
			return 1
		}
	}
	return 0
}

// slicer cuts space into slices.
type slicer struct{ pitch engine.Cell }

func dot(a, b engine.Cell) int64 {
	return int64(a.X)*int64(b.X) + int64(a.Y)*int64(b.Y) + int64(a.Z)*int64(b.Z)
}

// of is the number of the slice a cell is in.
func (s slicer) of(c engine.Cell) int {
	n, d := dot(c, s.pitch), dot(s.pitch, s.pitch)
	k := n / d
	if n%d < 0 {
		k--
	}
	return int(k)
}

// local is the cell of slice 0 that corresponds to a cell of slice k.
func (s slicer) local(c engine.Cell, k int) engine.Cell {
	n := int32(k)
	return engine.Cell{X: c.X - n*s.pitch.X, Y: c.Y - n*s.pitch.Y, Z: c.Z - n*s.pitch.Z}
}

// ledger writes down a run: rest is the bench as posed, after the same bench when all was quiet.
func (s slicer) ledger(size int, rest, after *engine.Bench) (*ledger, error) {
	made := map[int][]string{}
	lo, hi := 0, -1
	reach := func(k int) {
		if hi < lo {
			lo, hi = k, k
		}
		lo, hi = min(lo, k), max(hi, k)
	}
	for id := range rest.Parts() {
		at, onLattice := rest.CellOf(id)
		if !onLattice {
			return nil, fmt.Errorf("%s lies on the shelf, in no slice", Who(rest, id))
		}
		k := s.of(at)
		t := rest.Thing(id)
		t.ID, t.Name, t.Cell = 0, "", s.local(at, k)
		made[k] = append(made[k], fmt.Sprint(t, rest.State(id)))
		reach(k)
	}
	for id := range rest.BareCells() {
		if at, onLattice := rest.CellOf(id); onLattice {
			if st := rest.State(id); st != (engine.State{}) {
				k := s.of(at)
				made[k] = append(made[k], fmt.Sprint("cell", s.local(at, k), st))
				reach(k)
			}
		}
	}
	for _, cord := range rest.Cords() {
		a, _ := rest.CellOf(cord.From)
		b, _ := rest.CellOf(cord.To)
		k := s.of(a)
		made[k] = append(made[k], fmt.Sprint("cord", s.local(a, k), s.local(b, k), cord.Cord))
	}
	for _, e := range after.Events(1) {
		at, onLattice := after.CellOf(e.ID)
		if onLattice {
			reach(s.of(at))
		}
	}
	l := &ledger{size: size, first: lo, slices: make([]slab, hi-lo+1)}
	for k, lines := range made {
		slices.Sort(lines)
		l.slices[k-lo].made = strings.Join(lines, "\n")
	}
	for _, e := range after.Events(1) {
		at, _ := after.CellOf(e.ID)
		k := s.of(at)
		slab := &l.slices[k-lo]
		l.order = append(l.order, entryAt{int32(k - lo), int32(len(slab.events))})
		slab.events = append(slab.events, entryLine{s.local(at, k), e.What, e.Arg, lag{e.Tick, int64(e.Step)}})
	}
	return l, nil
}

// alike reports whether two slices are made alike and do the same in the same order, whenever.
func (a *slab) alike(b *slab) bool {
	if a.made != b.made || len(a.events) != len(b.events) {
		return false
	}
	for i := range a.events {
		x, y := a.events[i], b.events[i]
		if x.cell != y.cell || x.what != y.what || x.arg != y.arg {
			return false
		}
	}
	return true
}

// lags is how much later each event of b is than the same one of a.
func (a *slab) lags(b *slab) []lag {
	ds := make([]lag, len(a.events))
	for i := range ds {
		ds[i] = b.events[i].when.sub(a.events[i].when)
	}
	return ds
}

// windows lists, for each slice, the events of it and the next w slices in the order in which they happened, slices
// counted from that one.
func (l *ledger) windows(w int) [][]entryAt {
	ws := make([][]entryAt, len(l.slices))
	for _, e := range l.order {
		for k := max(0, int(e.slab)-w); k <= int(e.slab); k++ {
			ws[k] = append(ws[k], entryAt{e.slab - int32(k), e.event})
		}
	}
	return ws
}

// near is over how many slices parts of a bench touch each other directly: news, pads, seats, cords, conductors that
// hang together as far as the reach goes, reeds of a line as far as the run goes. Looked at from slice k.
func (s slicer) near(b *engine.Bench, k int) int {
	rules := b.Rules()
	w := 0
	spread := func(c engine.Cell) { w = max(w, s.of(c)-k, k-s.of(c)) }
	conducts := map[engine.Cell]bool{}
	for id := range b.Parts() {
		at, _ := b.CellOf(id)
		switch t := b.Thing(id); t.Kind {
		case engine.Wire, engine.Jack:
			conducts[at] = true
		case engine.Shuttle:
			if t.Slug == engine.Bridge {
				f := t.Facing.Cell()
				conducts[at.Add(f)], conducts[at.Add(f).Add(f)] = true, true
			}
		}
	}
	isReed := func(c engine.Cell, facing engine.Dir) (engine.ID, bool) {
		id, ok := b.PartAt(c)
		return id, ok && b.KindOf(id) == engine.Reed && b.Thing(id).Facing == facing
	}
	for id := range b.Parts() {
		at, _ := b.CellOf(id)
		if s.of(at) != k {
			continue
		}
		t := b.Thing(id)
		for d := engine.PosX; d <= engine.NegZ; d++ {
			spread(at.Add(d.Cell()))
		}
		for _, pad := range b.PadCells(id) {
			spread(pad)
			for d := engine.PosX; d <= engine.NegZ; d++ { // a front feed in the pad
				spread(pad.Add(d.Cell()))
			}
		}
		f := t.Facing.Cell()
		switch t.Kind {
		case engine.Shuttle:
			spread(at.Add(f).Add(f))
		case engine.Reed:
			for d := engine.PosX; d <= engine.NegZ; d++ {
				c := at
				for range rules.Run {
					c = c.Add(d.Cell())
					other, ok := isReed(c, t.Facing)
					if !ok {
						break
					}
					spread(c)
					for _, pad := range b.PadCells(other) {
						spread(pad)
					}
				}
			}
		}
	}
	for _, cord := range b.Cords() {
		p, _ := b.CellOf(cord.From)
		q, _ := b.CellOf(cord.To)
		if s.of(p) == k {
			spread(q)
		}
		if s.of(q) == k {
			spread(p)
		}
	}
	// Conductors of the slice, and how far what hangs together with each goes.
	for c := range conducts {
		if s.of(c) != k {
			continue
		}
		seen := map[engine.Cell]bool{c: true}
		edge := []engine.Cell{c}
		for range rules.Reach {
			var next []engine.Cell
			for _, p := range edge {
				spread(p)
				for d := engine.PosX; d <= engine.NegZ; d++ {
					q := p.Add(d.Cell())
					spread(q) // a feed beside it
					if conducts[q] && !seen[q] {
						seen[q] = true
						next = append(next, q)
					}
				}
			}
			if edge = next; len(edge) == 0 {
				break
			}
		}
	}
	return w
}
