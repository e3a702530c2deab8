package engine

import (
	"errors"
	"fmt"
	"strings"
)

var errLevels = errors.New("levels never settle: cords join conductors in a loop that turns itself round")

// How much news one turn may cause: so much on any bench, and for each cell and cord. Each part that reacts at once is told by a few
// others, and reacts to few of them; more comes only of parts that keep answering each other.
const (
	mostNews    = 1 << 14
	mostNewsPer = 256
	newsWatched = 64 // deliveries before the last one from which is read who they are
)

// EndlessNews is the error of a turn in which parts that react at once keep telling each other.
type EndlessNews struct {
	At    Instant
	Count int  // deliveries in this turn
	Parts []ID // those told last
	names []string
}

func (e *EndlessNews) Error() string {
	return fmt.Sprintf("news never ends: %d deliveries in one turn, %d.%d; these react at once and keep telling each other: %s", e.Count, e.At.Tick, e.At.Step, some(e.names, 6))
}

func errOutside(c Cell) error {
	return fmt.Errorf("cell %v is outside the lattice; coordinates go from %d to %d", c, -Limit, Limit)
}

// UnknownID is the error for an ID that names no part of the bench.
type UnknownID ID

func (u UnknownID) Error() string { return fmt.Sprintf("there is no part %d on this bench", uint32(u)) }

// TakenCell is the error for a cell that cannot take a part or a slug.
type TakenCell struct {
	Cell  Cell
	By    ID     // the part there; 0 if it is a slug
	Kind  Kind   // of the part
	Name  string // of that kind, as scripts write it
	Slug  Slug   // the slug seated or awaited there
	Seat  bool   // the cell was wanted as the seat of a slug
	Comes bool   // the slug is still in transit
	Loose bool   // the slug belongs to no shuttle
	Puts  bool   // a loose slug was to be put there
}

func (t *TakenCell) Error() string {
	what := "a " + t.Name
	if t.Name != "" && strings.ContainsRune("aeiou", rune(t.Name[0])) {
		what = "an " + t.Name
	}
	if t.By == 0 {
		what = fmt.Sprintf("the %v of a shuttle", t.Slug)
		switch {
		case t.Comes:
			what = "a slug in transit that is heading there"
		case t.Loose:
			what = fmt.Sprintf("a loose %v", t.Slug)
		}
	}
	if t.Puts {
		return fmt.Sprintf("cell %v is taken by %s; a loose slug goes into an empty cell or a jack", t.Cell, what)
	}
	if t.Seat {
		return fmt.Sprintf("the slug's seat %v is taken by %s; it must be empty or a jack", t.Cell, what)
	}
	if t.By == 0 {
		return fmt.Sprintf("cell %v is taken by %s; only a jack can be placed there", t.Cell, what)
	}
	return fmt.Sprintf("cell %v already holds %s; remove it first", t.Cell, what)
}

// NoLooseSlug is the error for a cell from which a loose slug was to be taken.
type NoLooseSlug struct{ Cell Cell }

func (n *NoLooseSlug) Error() string { return fmt.Sprintf("there is no loose slug at %v", n.Cell) }
