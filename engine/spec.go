package engine

import (
	"errors"
	"fmt"
	"unicode"
	"unicode/utf8"
)

// Spec is a kind of part that is none of the built-in ones: a small machine of a few states, written out as a table, so that
// nothing but a look into the table is done while it runs. It never changes once made, and any number of benches may use it.
type Spec struct {
	SpecDef
	table   []uint8 // the state wanted, for each combination
	told    [tellers]int
	stride  [dims]int
	none    [MaxStates][tellers]uint8 // the state wanted while nothing is live
	any     [MaxStates][tellers]uint8 // and while anything is, if it does not matter what; else mixed
	truth   int32                     // of one that acts as a link does, minus its truth table as tabulate notes it; else 0
	digest  uint64
	Aside   any  // the maker's own; the engine never looks at it
	conduct bool // in some state
	around  bool // feeds all round in some state
	front   bool // feeds its front in some state
}

// SpecDef is what a kind is told to be. The slices have one entry a state.
type SpecDef struct {
	Name     string
	Letter   rune
	Faces    bool
	States   []string
	Pads     Groups  // the cells it reads
	Hears    Groups  // those that may tell it; far cells never do
	When     []int   // how it reacts: Now, NextStep, or after so many ticks
	Once     bool    // it does not look again before it enters the state it wanted when told
	Then     []int   // ticks after which it looks by itself; 0: never
	Feeds    []Feeds // what it feeds
	Conducts []bool
	Tells    Tells
	Says     []string // the word of the event; "" for none
	Relook   bool     // it is told by itself after it entered a state by an act or a timer
	Active   []bool   // a cord from it reads on
}

// When a part of a told kind reacts.
const (
	Now      = 0  // in the turn in which it hears
	NextStep = -1 // by an act
)

// Groups is a set of groups of cells, as seen from a part.
type Groups uint8

// The groups. A kind without a facing has AroundCells alone.
const (
	BackCell Groups = 1 << iota
	FrontCell
	SideCells
	FarBackCell
	FarFrontCell
	AroundCells
)

// Feeds is what a part of a told kind feeds in a state.
type Feeds struct {
	What  Feeding
	Level int // of its front; 0: like any feed
}

// Tells is who is told when a part of a told kind enters a state.
type Tells uint8

const (
	TellsAround Tells = iota // its neighbours and its cords
	TellsFront               // the part in front and its cords
	TellsNone                // nobody; conductors that change tell all the same
)

// Teller is who tells a part of a told kind.
type Teller uint8

const (
	ByBack Teller = iota
	ByFront
	BySide
	ByAround
	ByCord
	ByNudge
	ByItself
	ByDue
	tellers
)

// String returns the word that scripts use.
func (t Teller) String() string {
	return [...]string{"back", "front", "side", "around", "cord", "nudge", "itself", "due"}[t]
}

// Look is one combination of what a part may find when it looks.
type Look struct {
	State                          int
	Told                           Teller
	Back, Front, FarBack, FarFront bool
	Sides, Around, Cords           int // how many are live
	Forced                         bool
}

// Limits of told kinds.
const (
	MaxStates   = 8
	MaxTable    = 1 << 16
	MaxSpecCord = 7 // power cords into one part
)

const mixed = 0xff // any: it does matter what is live

// The dimensions of a table.
const (
	dState = iota
	dTold
	dBack
	dFront
	dFarBack
	dFarFront
	dSides
	dAround
	dCords
	dForced
	dims
)

// Tellers lists who may tell a part of the kind.
func (d *SpecDef) Tellers() (ts []Teller) {
	for _, g := range []struct {
		group Groups
		by    Teller
	}{{BackCell, ByBack}, {FrontCell, ByFront}, {SideCells, BySide}, {AroundCells, ByAround}} {
		if d.Hears&g.group != 0 {
			ts = append(ts, g.by)
		}
	}
	ts = append(ts, ByCord, ByNudge)
	if d.Relook {
		ts = append(ts, ByItself)
	}
	for _, t := range d.Then {
		if t > 0 {
			return append(ts, ByDue)
		}
	}
	return ts
}

func (d *SpecDef) conducts() bool {
	for _, c := range d.Conducts {
		if c {
			return true
		}
	}
	return false
}

// sizes is how many values each dimension has.
func (d *SpecDef) sizes() (n [dims]int) {
	has := func(g Groups, size int) int {
		if d.Pads&g != 0 {
			return size
		}
		return 1
	}
	n = [dims]int{len(d.States), len(d.Tellers()), has(BackCell, 2), has(FrontCell, 2), has(FarBackCell, 2), has(FarFrontCell, 2),
		has(SideCells, 5), has(AroundCells, 7), MaxSpecCord + 1, 2}
	if d.conducts() {
		n[dCords] = 1
	}
	return n
}

// Combinations is how many combinations of state, teller and what is live there are.
func (d *SpecDef) Combinations() int {
	n := 1
	for _, size := range d.sizes() {
		n *= size
	}
	return n
}

func (d *SpecDef) check() error {
	n := len(d.States)
	if n < 2 || n > MaxStates {
		return fmt.Errorf("a kind has 2 to %d states, not %d", MaxStates, n)
	}
	if d.Name == "" {
		return errors.New("a kind needs a name")
	}
	if d.Letter == 0 || d.Letter == utf8.RuneError || !unicode.IsPrint(d.Letter) {
		return errors.New("a kind needs a letter")
	}
	for i, s := range d.States {
		for _, o := range d.States[:i] {
			if s == o {
				return fmt.Errorf("state %q is named twice", s)
			}
		}
	}
	if len(d.When) != n || len(d.Then) != n || len(d.Feeds) != n || len(d.Conducts) != n || len(d.Says) != n || len(d.Active) != n {
		return fmt.Errorf("what is told for each state needs %d entries", n)
	}
	all := AroundCells
	if d.Faces {
		all = BackCell | FrontCell | SideCells | FarBackCell | FarFrontCell
	}
	if d.Pads&^all != 0 || d.Hears&^(all&^(FarBackCell|FarFrontCell)) != 0 {
		return errors.New("a group of cells that such a kind does not have")
	}
	for i := range n {
		switch {
		case d.When[i] < NextStep || d.When[i] > MaxTicks:
			return fmt.Errorf("state %q: %v is no time to react after", d.States[i], d.When[i])
		case d.Then[i] < 0 || d.Then[i] > MaxTicks:
			return fmt.Errorf("state %q: %v is no number of ticks", d.States[i], d.Then[i])
		case d.Feeds[i].Level < 0 || d.Feeds[i].Level > MaxReach || d.Feeds[i].Level > 0 && d.Feeds[i].What != FeedsFront:
			return fmt.Errorf("state %q: level %d cannot be fed", d.States[i], d.Feeds[i].Level)
		case d.Feeds[i].What == FeedsFront && !d.Faces:
			return fmt.Errorf("state %q: a kind without a facing has no front to feed", d.States[i])
		}
	}
	if d.Tells == TellsFront && !d.Faces {
		return errors.New("a kind without a facing has no front to tell")
	}
	if c := d.Combinations(); c > MaxTable {
		return fmt.Errorf("%d combinations of states, tellers and live cells; at most %d", c, MaxTable)
	}
	return nil
}

// NewSpec makes a kind: wants is asked once for each combination, and answers with the number of the state it would have, or -1 for as it is.
func NewSpec(d SpecDef, wants func(Look) (int, error)) (*Spec, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	s := &Spec{SpecDef: d, conduct: d.conducts()}
	sizes, stride := d.sizes(), 1
	for k := dims - 1; k >= 0; k-- {
		s.stride[k] = stride
		stride *= sizes[k]
	}
	for i, t := range d.Tellers() {
		s.told[t] = i
	}
	for _, f := range d.Feeds {
		s.around = s.around || f.What == FeedsAround
		s.front = s.front || f.What == FeedsFront
	}
	s.table = make([]uint8, stride)
	ts := d.Tellers()
	for i := range s.table {
		at := func(k int) int { return i / s.stride[k] % sizes[k] }
		l := Look{State: at(dState), Told: ts[at(dTold)], Back: at(dBack) > 0, Front: at(dFront) > 0, FarBack: at(dFarBack) > 0, FarFront: at(dFarFront) > 0,
			Sides: at(dSides), Around: at(dAround), Cords: at(dCords), Forced: at(dForced) > 0}
		w, err := wants(l)
		if err != nil {
			return nil, err
		}
		if w < 0 {
			w = l.State
		}
		if w >= len(d.States) {
			return nil, fmt.Errorf("there is no state %d", w)
		}
		s.table[i] = uint8(w)
	}
	s.sum()
	return s, nil
}

// sum notes what need not be looked up, and a digest.
func (s *Spec) sum() {
	each := s.stride[dTold]
	h := digest(len(s.States)).add(uint64(s.Pads), uint64(s.Hears), bit(s.Once), uint64(s.Tells), bit(s.Relook), bit(s.Faces))
	for st := range s.States {
		h = h.add(uint64(s.When[st]), uint64(s.Then[st]), uint64(s.Feeds[st].What), uint64(s.Feeds[st].Level), bit(s.Conducts[st]), bit(s.Says[st] == ""), bit(s.Active[st]))
		for _, t := range s.Tellers() {
			row := s.table[st*s.stride[dState]+s.told[t]*each:][:each]
			any := row[len(row)-1]
			for _, w := range row[1:] {
				if w != any {
					any = mixed
				}
			}
			s.none[st][t], s.any[st][t] = row[0], any
			for _, w := range row {
				h = h.add(uint64(w))
			}
		}
	}
	s.digest = uint64(h)
	s.truth = s.plain()
}

// plain gives the truth table of a kind that acts as a link does: two states, an act in the next step, looking again; that something is live is all
// it looks at. Such parts take the engine's shortest way. 0: it is not so.
func (s *Spec) plain() int32 {
	if len(s.States) != 2 || s.Once || s.Relook || s.conduct || s.around || s.front || s.Tells != TellsAround || s.Active[0] || !s.Active[1] {
		return 0
	}
	ts := s.Tellers()
	zero, one := s.none[0][ts[0]], s.any[0][ts[0]]
	for st := range s.States {
		if s.When[st] != NextStep || s.Then[st] != 0 || s.Says[st] == "" {
			return 0
		}
		for _, t := range ts {
			if s.none[st][t] != zero || s.any[st][t] != one {
				return 0
			}
		}
	}
	if one == mixed {
		return 0
	}
	table := int32(0)
	for i := range int32(8) {
		if w := one; i&1 == 0 && w == 1 || i&1 != 0 && zero == 1 {
			table |= 1 << i
		}
	}
	return -table
}

// index is the place of a combination in the table.
func (s *Spec) index(state uint8, t Teller) int {
	return int(state)*s.stride[dState] + s.told[t]*s.stride[dTold]
}

// Wants is the state that a part of the kind would have.
func (s *Spec) Wants(l Look) int {
	i := s.index(uint8(l.State), l.Told)
	for _, v := range []struct {
		dim int
		on  bool
	}{{dBack, l.Back}, {dFront, l.Front}, {dFarBack, l.FarBack}, {dFarFront, l.FarFront}, {dForced, l.Forced}} {
		if v.on {
			i += s.stride[v.dim]
		}
	}
	return int(s.table[i+l.Sides*s.stride[dSides]+l.Around*s.stride[dAround]+l.Cords*s.stride[dCords]])
}

// Digest is the same for kinds that behave alike, whatever their names.
func (s *Spec) Digest() uint64 { return s.digest }

// mask is the neighbours of some groups, a bit for each direction, and where far cells lie.
func (g Groups) mask(facing Dir) (m uint8) {
	front, back := uint8(1)<<facing, uint8(1)<<facing.Opposite()
	if g&BackCell != 0 {
		m |= back
	}
	if g&FrontCell != 0 {
		m |= front
	}
	if g&SideCells != 0 {
		m |= 63 &^ front &^ back
	}
	if g&AroundCells != 0 {
		m = 63
	}
	return m
}

// far gives the offsets of the far cells of some groups.
func (g Groups) far(facing Dir) (offs []Cell) {
	c := facing.Cell()
	c = c.Add(c)
	if g&FarBackCell != 0 {
		offs = append(offs, Cell{}.Sub(c))
	}
	if g&FarFrontCell != 0 {
		offs = append(offs, c)
	}
	return offs
}
