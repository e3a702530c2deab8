package expand

import (
	"fmt"
	"hash/maphash"

	"pulsewright/engine"
)

// slicer cuts space into slices. Slice k is the layer of cells k pitches away from the frame; where exactly the cuts lie
// does not matter, for all are a pitch apart.
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

// plan is a machine as built, slice by slice.
type plan struct {
	first  int      // number of the first slice
	made   []uint64 // what each slice holds: parts, cords, pose, in cells of the slice; equal if alike
	silent int32    // for so many ticks a part may wait and then do nothing that is an event
	near   int      // over how many slices parts touch each other directly
	amiss  string   // why there is no plan
	failed bool     // it cannot be built
	leaves []leaf   // what the rig holds
}

// seed is that of the fingerprints of slices.
var seed = maphash.MakeSeed()

// unnumbered is a name without the numbers in it: those of like parts of all slices are alike then.
func unnumbered(name string) string {
	digit := func(r byte) bool { return r >= '0' && r <= '9' }
	short := make([]byte, 0, len(name))
	for i := range len(name) {
		switch {
		case !digit(name[i]):
			short = append(short, name[i])
		case i == 0 || !digit(name[i-1]):
			short = append(short, '#')
		}
	}
	return string(short)
}

// posed is a part as it is compared, bare a cell without one, and joint a cord: where in the slice, and what.
type (
	posed struct {
		cell                      engine.Cell
		name                      string
		pads, own                 uint64
		posed                     int
		kind                      engine.Kind
		facing, far               engine.Dir
		farSet, on, out           bool
		tokens, level             int
		slug                      engine.Slug
		op                        engine.Op
		mode                      engine.Mode
		ticks, reject, hold, drop int
		room, keep, travel        int
		grip                      engine.Grip
		letGo                     bool
		state                     engine.State
	}
	bare struct {
		cell  engine.Cell
		state engine.State
	}
	joint struct {
		from, to  engine.Cell
		cord      engine.Cord
		out, into int // it is that cord of those that leave the one, and of those that come to the other
	}
)

// fingerprint is the same for parts that are alike in all that Thing knows of them.
func fingerprint(t engine.Thing, at engine.Cell, state engine.State) uint64 {
	pads := uint64(0)
	if t.Pads != nil {
		pads = maphash.Comparable(seed, len(t.Pads))
		for _, pad := range t.Pads {
			pads = maphash.Comparable(seed, joint{from: pad, out: int(pads)})
		}
	}
	own := uint64(0) // kinds of one's own that behave alike are alike, whatever they are called
	if t.Spec != nil {
		own = maphash.Comparable(seed, t.Spec.Digest())
	}
	return maphash.Comparable(seed, posed{at, unnumbered(t.Name), pads, own, t.Part.State, t.Kind, t.Facing, t.Far, t.FarSet, t.On, t.Out, t.Tokens, t.Level,
		t.Slug, t.Op, t.Mode, t.Ticks, t.Reject, t.Hold, t.Drop, t.Room, t.Keep, t.Travel, t.Grip, t.LetGo, state})
}

// plan writes down a bench as it is posed.
func (s slicer) plan(b *engine.Bench) *plan {
	made := map[int]uint64{}
	lo, hi := 0, -1
	add := func(at engine.Cell, what uint64) {
		k := s.of(at)
		if hi < lo {
			lo, hi = k, k
		}
		lo, hi = min(lo, k), max(hi, k)
		made[k] += what
	}
	silent := int32(0)
	hold := -1 // of the first key: one for all may grow with the size, for all it does is seen when the key goes off
	for id := range b.Parts() {
		at, onLattice := b.CellOf(id)
		if !onLattice {
			return &plan{amiss: fmt.Sprintf("%s lies on the shelf, in no slice", b.Label(id))}
		}
		t := b.Thing(id)
		if t.Kind == engine.Key {
			if hold < 0 {
				hold = t.Hold
			}
			t.Hold -= hold
		}
		if t.Kind == engine.Delay && t.Mode == engine.Inertial || t.Kind == engine.Chute || t.Kind == engine.Bucket {
			silent = max(silent, int32(max(t.Ticks, t.Reject, t.Drop)))
		}
		add(at, fingerprint(t, s.local(at, s.of(at)), b.State(id)))
	}
	for id := range b.BareCells() {
		if at, onLattice := b.CellOf(id); onLattice {
			if st := b.State(id); st != (engine.State{}) {
				add(at, maphash.Comparable(seed, bare{s.local(at, s.of(at)), st}))
			}
		}
	}
	from, to := map[engine.ID]int{}, map[engine.ID]int{}
	for _, cord := range b.Cords() {
		a, _ := b.CellOf(cord.From)
		z, _ := b.CellOf(cord.To)
		k := s.of(a)
		from[cord.From]++
		to[cord.To]++
		add(a, maphash.Comparable(seed, joint{s.local(a, k), s.local(z, k), cord.Cord, from[cord.From], to[cord.To]}))
	}
	p := &plan{first: lo, made: make([]uint64, hi-lo+1), near: s.near(b), silent: silent}
	for k, sum := range made {
		p.made[k-lo] = sum
	}
	return p
}

// near is over how many slices parts of a bench touch each other directly: as neighbours, through pads, seats and cords, and reeds of a
// line as far as the run goes. Conductors touch their neighbours only, for their levels are written down.
func (s slicer) near(b *engine.Bench) int {
	rules := b.Rules()
	w, k := 0, 0
	spread := func(c engine.Cell) { w = max(w, s.of(c)-k, k-s.of(c)) }
	isReed := func(c engine.Cell, facing engine.Dir) (engine.ID, bool) {
		id, ok := b.PartAt(c)
		return id, ok && b.KindOf(id) == engine.Reed && b.Thing(id).Facing == facing
	}
	for id := range b.Parts() {
		at, _ := b.CellOf(id)
		k = s.of(at)
		t := b.Thing(id)
		for d := engine.PosX; d <= engine.NegZ; d++ {
			spread(at.Add(d.Cell()))
		}
		for _, pad := range b.PadCells(id) {
			spread(pad)
		}
		f := t.Facing.Cell()
		switch t.Kind {
		case engine.Shuttle: // its slug tells the neighbours of both seats
			for _, seat := range [...]engine.Cell{at.Add(f), at.Add(f).Add(f)} {
				for d := engine.PosX; d <= engine.NegZ; d++ {
					spread(seat.Add(d.Cell()))
				}
			}
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
		k = s.of(p)
		spread(q)
	}
	return max(w, 1)
}

// insertion compares the slices of two machines, the second with more slices: how many are alike from the first slice on, and from
// the last one back; and how many both ways hold for.
func insertion[T any](a, b []T, alike func(x, y T) bool) (left, right, overlap int) {
	n := len(a)
	for left < n && left < len(b) && alike(a[left], b[left]) {
		left++
	}
	for right < n && right < len(b) && alike(a[n-1-right], b[len(b)-1-right]) {
		right++
	}
	return left, right, left + right - n
}

// more is how many slices machine b has put in between those of machine a, which are otherwise its own; 0 if it is not so.
func (a *plan) more(b *plan) int {
	c := len(b.made) - len(a.made)
	if a.amiss != "" || b.amiss != "" || c < 1 {
		return 0
	}
	w := max(a.near, b.near)
	if _, _, overlap := insertion(a.made, b.made, like); overlap < 2*w+1 {
		return 0
	}
	return c
}

// grows reports whether machine b is machine a with so many times c slices put in, each like the one c before. bad is the first
// slice that is not.
func (a *plan) grows(b *plan, c, times int) (bad int, ok bool) {
	w := max(a.near, b.near)
	left, _, _ := insertion(a.made, b.made, like)
	for k, made := range b.made {
		from := k
		switch {
		case k-c*times >= left: // behind what was put in
			from = k - c*times
		case k >= left:
			from = left - c + (k-left)%c
		}
		if from < 0 || from >= len(a.made) || a.made[from] != made {
			return k, false
		}
	}
	return 0, len(b.made) == len(a.made)+c*times && left >= w+c
}

// ends is how many slices of machine b, which is machine a with c slices put in, at either end are not like those c before or after them.
func (a *plan) ends(b *plan, c int) (head, tail int) {
	from, _, _ := insertion(a.made, b.made, like)
	to := from + c
	for from > c && b.made[from-1] == b.made[from-1-c] {
		from--
	}
	for to < len(b.made) && b.made[to] == b.made[to-c] {
		to++
	}
	return from - c, len(b.made) - to
}
