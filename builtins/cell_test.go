package builtins_test

import (
	"testing"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestAsCellAsksNothing: to see that a list of parts is no cell, nobody asks where they lie; so it may be asked of a rig in which others work.
func TestAsCellAsksNothing(t *testing.T) {
	b, q := engine.New(engine.DefaultRules()), &builtins.Inquiry{}
	b.Aside = q
	id, err := b.Place(engine.Cell{}, engine.Part{Kind: engine.Wire})
	if err != nil {
		t.Fatal(err)
	}
	p, d := builtins.Part{Bench: b, ID: id}, starlark.NewDict(1)
	d.SetKey(starlark.String("a"), p)
	for _, v := range []starlark.Value{starlark.NewList([]starlark.Value{p, p}), starlark.Tuple{starlark.MakeInt(1), p}, d} {
		if at, ok := builtins.AsCell(v); ok {
			t.Errorf("%v is the cell %v", v.Type(), at)
		}
	}
	if asked := q.Close(); asked != 0 {
		t.Errorf("it asks for %v", asked)
	}
	if at, ok := builtins.AsCell(starlark.Tuple{starlark.MakeInt(3), starlark.MakeInt(4)}); !ok || at != (engine.Cell{X: 3, Y: 4}) {
		t.Errorf("(3, 4) is %v, %v", at, ok)
	}
}
