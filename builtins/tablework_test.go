package builtins

import (
	"context"
	"slices"
	"testing"

	"pulsewright/engine"
)

// TestSortStable: long lists are sorted as short ones are, equal values keep their order, and it stops when it is to.
func TestSortStable(t *testing.T) {
	var e *Env // as in a thread without a world
	for _, n := range []int{0, 1, 1023, 1024, 1025, 5000, 8192, 10001} {
		vs := make([][2]int, n)
		for i := range vs {
			vs[i] = [2]int{i * 7919 % 101, i}
		}
		by := func(x, y [2]int) int { return x[0] - y[0] }
		want := slices.Clone(vs)
		slices.SortStableFunc(want, by)
		if got, err := SortStable(e, vs, by); err != nil || !slices.Equal(got, want) {
			t.Errorf("%d values: %v", n, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	compared := 0
	e = &Env{Ctx: ctx, Bench: engine.New(engine.DefaultRules())}
	_, err := SortStable(e, make([]int, 100000), func(int, int) int {
		if compared++; compared == 200000 {
			cancel()
		}
		return 0
	})
	if err == nil || compared > 210000 {
		t.Errorf("%v after %d", err, compared)
	}
}
