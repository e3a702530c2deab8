package engine

import "fmt"

// Instant is a moment: the tick, the step inside it (the position in the update
// order, from 0) and the turn inside the step, from 0.
type Instant struct {
	Tick       int64
	Step, Turn int
}

// Before reports whether a comes before b.
func (a Instant) Before(b Instant) bool {
	if a.Tick != b.Tick {
		return a.Tick < b.Tick
	}
	if a.Step != b.Step {
		return a.Step < b.Step
	}
	return a.Turn < b.Turn
}

// String writes the instant as tick.step.turn.
func (a Instant) String() string { return fmt.Sprintf("%d.%d.%d", a.Tick, a.Step, a.Turn) }
