// Package sketch reads drawings of benches in the signs in which map draws them, with a legend below for what a drawing cannot
// show, and writes that legend. Its word places what a drawing shows (place.go, sketched.go); the rest of it knows no script.
// It may use builtins, say and the engine.
package sketch

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// Words are the words of this package.
func Words() []builtins.Entry { return sketchWords() }

// Plan is what a drawing says: parts to be placed in this order, tiles before the shelf, but for those in First.
type Plan struct {
	Tiles []Tile // layer by layer from the lowest, row by row down the page, from the left
	Shelf []Tile // parts without a cell
	Cords []Cord // in the order in which they are made
	Loose []Slug // of no shuttle
	First []End  // placed before all others, in this order: their timers are set in it
}

// Tile is one part, and where in the text it is drawn.
type Tile struct {
	Cell engine.Cell // as the drawing counts
	engine.Part
	At Place

	Mark rune // the user's own sign beside it, 0 if there is none
	own  *own // of a kind of a script's own
	many bool // more tokens or a higher level than one digit tells; the legend must say how many
	said bool // the legend says which slug it moves, or what it computes
}

// Slug is a loose slug.
type Slug struct {
	Cell engine.Cell
	What engine.Slug
	At   Place
}

// End is an end of a cord: the number of a tile, or -1, -2 and so on for the first, the second part of the shelf.
type End int

// Cord joins two parts of a plan.
type Cord struct {
	From, To End
	engine.Cord
	At Place
}

// Place is a place in the text of a drawing, both counted from 1; in what was given beside the text Line is 0, and In says where.
type Place struct {
	Line, Column int
	In           string
}

func (p Place) String() string {
	if p.Line == 0 {
		return p.In
	}
	return fmt.Sprintf("line %d, column %d", p.Line, p.Column)
}

// Error is what is wrong with a drawing, and where.
type Error struct {
	At  Place
	Msg string // what stands there, and what is allowed
}

func (e *Error) Error() string { return e.At.String() + ": " + e.Msg }

func wrong(at Place, format string, args ...any) error {
	return &Error{at, fmt.Sprintf(format, args...)}
}

// Part is the part at an end of a cord.
func (p *Plan) Part(e End) *Tile {
	if e < 0 {
		return &p.Shelf[-1-e]
	}
	return &p.Tiles[e]
}

// sort puts the tiles into one order, however the text is cut into bands, and finds two in one cell.
func (p *Plan) sort() error {
	byCell := func(a, b Tile) int { return compareCells(a.Cell, b.Cell) }
	if !slices.IsSortedFunc(p.Tiles, byCell) {
		slices.SortStableFunc(p.Tiles, byCell)
	}
	for i := 1; i < len(p.Tiles); i++ {
		if a, b := &p.Tiles[i-1], &p.Tiles[i]; a.Cell == b.Cell {
			return wrong(b.At, "a second part in the cell %v; the first stands at %v", b.Cell, a.At)
		}
	}
	return nil
}

// Read reads a drawing, with the kinds of a script's own that it may hold. What is given beside it comes after the legend in the text, and may
// overrule it.
func Read(text string, given []Given, kinds []*engine.Spec) (*Plan, error) {
	r := reader{plan: new(Plan), kinds: kinds}
	if err := r.lines(text); err != nil {
		return nil, err
	}
	if err := r.tiles(); err != nil {
		return nil, err
	}
	if err := r.plan.sort(); err != nil {
		return nil, err
	}
	if err := r.legend(given); err != nil {
		return nil, err
	}
	if err := r.slugs(); err != nil {
		return nil, err
	}
	return r.plan, nil
}
