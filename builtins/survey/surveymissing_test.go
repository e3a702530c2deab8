package survey

import (
	"context"
	"errors"
	"slices"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// What is missing is found as going through all pairs finds it, and of many numbers in one round through them.
func TestMissing(t *testing.T) {
	w := &Survey{Crew: &trial.Crew{Env: &builtins.Env{Bench: engine.New(engine.DefaultRules())}}}
	one, two := starlark.MakeInt(1), starlark.MakeInt(2)
	list := func(vs ...starlark.Value) starlark.Value { return starlark.NewList(vs) }
	some := []starlark.Value{one, starlark.String("quay"), list(one, two), starlark.Tuple{one, list(two)}, starlark.Float(7)}
	all := []starlark.Value{two, one, starlark.MakeInt(7), list(one, two), list(two), starlark.Tuple{one, list(two)}, starlark.Tuple{one}, starlark.String("berth"), starlark.None}
	got, err := w.missing(all, some)
	if err != nil {
		t.Fatal(err)
	}
	var want []starlark.Value
	for _, v := range all {
		if !slices.ContainsFunc(some, func(x starlark.Value) bool { same, err := starlark.Equal(v, x); return same && err == nil }) {
			want = append(want, v)
		}
	}
	if g, w := starlark.Tuple(got).String(), starlark.Tuple(want).String(); g != w {
		t.Errorf("missing are %s, want %s", g, w)
	}
	many, lists := make([]starlark.Value, 300_000), make([]starlark.Value, 30_000)
	for i := range many {
		many[i] = starlark.MakeInt(i)
	}
	for i := range lists {
		lists[i] = list(starlark.MakeInt(i))
	}
	if got, err := w.missing(many, many); len(got) > 0 || err != nil {
		t.Errorf("%d missing, %v", len(got), err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	w.Env.Ctx = ctx
	for _, vs := range [][]starlark.Value{many, lists} {
		if _, err := w.missing(vs, vs); !errors.Is(err, context.Canceled) {
			t.Errorf("it goes on when it is to stop: %v", err)
		}
	}
}
