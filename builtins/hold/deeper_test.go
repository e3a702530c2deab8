package hold_test

import (
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"pulsewright/builtins/hold"

	"go.starlark.net/starlark"
)

// Depths says what going through every way says, of lists by lot that lie in one another in several ways; and what Walk says of loops: it ends.
func TestDeeper(t *testing.T) {
	var d hold.Depths
	for seed := range uint64(300) {
		dice := rand.New(rand.NewPCG(seed, 3))
		var all []starlark.Value
		deep := map[starlark.Value]int{}
		for range 1 + dice.IntN(25) {
			var in []starlark.Value
			most := 0
			for range dice.IntN(3) {
				if len(all) > 0 {
					v := all[max(0, len(all)-1-dice.IntN(3))]
					in = append(in, v)
					most = max(most, deep[v])
				}
			}
			if dice.IntN(2) == 0 {
				in = append(in, starlark.MakeInt(1))
			}
			v := starlark.NewList(in)
			all = append(all, v)
			deep[v] = most + 1
		}
		want := 0
		for _, v := range all {
			want = max(want, deep[v])
		}
		for most := 7; most < 27; most++ { // less deep than seven is a glance
			if got, _ := d.Deeper(slices.Values(all), most, nil); got != (want > most) {
				t.Errorf("seed %d: values lie %d deep; deeper than %d: %v", seed, want, most, got)
			}
		}
	}
	loop := starlark.NewList(nil)
	x := starlark.Value(loop)
	for range 50 {
		x = starlark.Tuple{x, x}
	}
	loop.Append(x)
	if deeper, _ := d.Deeper(slices.Values([]starlark.Value{loop}), 100, nil); deeper {
		t.Error("a loop of 51 values lies more than 100 deep")
	}
	if deeper, _ := d.Deeper(slices.Values([]starlark.Value{loop}), 40, nil); !deeper {
		t.Error("a loop of 51 values lies no more than 40 deep")
	}
	many := make([]starlark.Value, 10000)
	for i := range many {
		many[i] = x
	}
	asked := 0
	stop := hold.Until(func() error { asked++; return errors.New("stop") })
	if deeper, looked := d.Deeper(slices.Values([]starlark.Value{starlark.NewList(many)}), 100, stop); deeper || asked != 1 || looked > 5000 {
		t.Errorf("deeper %v, asked %d times after %d values", deeper, asked, looked)
	}
}
