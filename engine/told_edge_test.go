package engine_test

import (
	"context"
	"testing"

	"pulsewright/engine"
	"pulsewright/engine/kinds"
)

// TestToldAtTheEdge: where one of the two far cells of a told kind lies beyond the edge of the world, the other is read as what it is.
func TestToldAtTheEdge(t *testing.T) {
	front := twoStates("front", says("home", "out"))
	front.Pads = engine.FarBackCell | engine.FarFrontCell
	spec := tell(front, func(l engine.Look) int { return when(l.FarFront && !l.FarBack) })
	const edge = -kinds.Limit
	for _, want := range []bool{true, false} { // the battery lies in front, two cells away; or behind, of a part that faces the edge
		w := engine.New(engine.DefaultRules())
		facing := engine.PosX
		if !want {
			facing = engine.NegX
		}
		id := must(w.Place(engine.Cell{X: edge + 1}, engine.Part{Kind: engine.Told, Spec: spec, Facing: facing}))
		must(w.Place(engine.Cell{X: edge + 3}, engine.Part{Kind: engine.Battery}))
		check(w.Nudge(engine.Target{ID: id}, false, 0))
		check(w.Run(context.Background(), engine.Budget{Turns: 100, Ticks: 10}))
		if got := w.State(id).On; got != want {
			t.Errorf("facing %v: on is %v, want %v", facing, got, want)
		}
	}
}
