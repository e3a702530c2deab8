package engine

import "fmt"

// News says in which order news is delivered.
type News uint8

const (
	FIFO News = iota // first told, first heard
	LIFO             // depth first: the news of one change go on top
)

// Reads says what an act sees of the other acts of its step.
type Reads uint8

const (
	ByTurn Reads = iota // what earlier turns of the step did
	ByStep              // nothing: all look before the first changes anything
)

// Rules are what differs from world to world. DefaultRules gives the usual ones.
type Rules struct {
	Order  [6]Dir // neighbour order
	Mixed  bool   `json:",omitempty"` // each cell has one of its own instead, fixed by Seed and the cell
	Seed   uint64 `json:",omitempty"`
	News   News
	Reads  Reads
	Travel int // ticks a slug is in transit, ≥ 1
	Reach  int // top level of a conductor, ≥ 1
	Run    int // how many reeds away a fed reed holds others of its line, ≥ 0
}

// DefaultRules are the rules of a fresh bench.
func DefaultRules() Rules {
	return Rules{Order: [6]Dir{PosX, NegX, PosY, NegY, PosZ, NegZ}, Travel: 2, Reach: 24, Run: 6}
}

// Limits of the rules that are numbers.
const (
	MaxSeed   = 1<<64 - 1
	MaxTravel = 1 << 30
	MaxRun    = 1 << 20
)

func (r Rules) check() error {
	var seen [6]bool
	for _, d := range r.Order {
		if d > NegZ || seen[d] {
			return fmt.Errorf("order must name each of the six directions once")
		}
		seen[d] = true
	}
	switch {
	case r.Seed > 0 && !r.Mixed:
		return fmt.Errorf("one order for all cells has no number; mixed ones have")
	case r.News > LIFO:
		return fmt.Errorf("news must be fifo or lifo")
	case r.Reads > ByStep:
		return fmt.Errorf("reads must be turn or step")
	case r.Travel < 1 || r.Travel > MaxTravel:
		return fmt.Errorf("travel is %d, want a number of ticks, at least 1", r.Travel)
	case r.Reach < 1 || r.Reach > MaxReach:
		return fmt.Errorf("reach is %d, want a level of at least 1", r.Reach)
	case r.Run < 0 || r.Run > MaxRun:
		return fmt.Errorf("run is %d, want a number of cells, at least 0", r.Run)
	}
	return nil
}
