package kinds

import (
	"errors"
	"fmt"
	"unicode"
	"unicode/utf8"
)

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
		n[InCords] = 1
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

// Mask is the neighbours of some groups, a bit for each direction, and where far cells lie.
func (g Groups) Mask(facing Dir) (m uint8) {
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

// Far gives the offsets of the far cells of some groups, n of them.
func (g Groups) Far(facing Dir) (offs [2]Cell, n int) {
	c := facing.Cell()
	c = c.Add(c)
	if g&FarBackCell != 0 {
		offs[n] = Cell{}.Sub(c)
		n++
	}
	if g&FarFrontCell != 0 {
		offs[n] = c
		n++
	}
	return offs, n
}
