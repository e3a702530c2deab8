package picture

import (
	"math"
	"strings"
	"testing"

	"pulsewright/builtins"

	"go.starlark.net/starlark"
)

// TestTicks: whole values get whole numbers along the axis, all of them inside, at most seven.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		whole  bool
		want   string
	}{
		{0, 7, true, "0 2 4 6"}, {0, 1, true, "0 1"}, {1, 2, true, "1 2"}, {3, 12, true, "4 6 8 10 12"}, {-3, 4, true, "-2 0 2 4"},
		{0, 1, false, "0 0.2 0.4 0.6 0.8 1"}, {0.5, 2.25, false, "0.5 1 1.5 2"}, {0, 1234567, true, "0 500000 1000000"}, {7, 8, true, "7 8"},
	} {
		var got []string
		for _, f := range ticks(c.lo, c.hi, c.whole) {
			got = append(got, label(f))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v to %v: %v, want %s", c.lo, c.hi, got, c.want)
		}
	}
	for lo := -20; lo < 20; lo++ {
		for span := 1; span < 60; span++ {
			at := ticks(float64(lo), float64(lo+span), true)
			for _, f := range at {
				if f != math.Trunc(f) || f < float64(lo) || f > float64(lo+span) {
					t.Errorf("%d to %d: %v", lo, lo+span, at)
				}
			}
			if len(at) == 0 || len(at) > mostTicks+1 {
				t.Errorf("%d to %d: %v", lo, lo+span, at)
			}
		}
	}
}

// TestPlotInASCII: where there is nothing but ASCII a plot has nothing else, whatever its heads are called.
func TestPlotInASCII(t *testing.T) {
	table := &builtins.Table{Head: []string{"größe", "→"}}
	for i := range 5 {
		table.Rows = append(table.Rows, []starlark.Value{starlark.MakeInt(i), starlark.MakeInt(i * i)})
	}
	g, err := graphOf(table, "", "", "")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range g.text(&builtins.Env{ASCII: true, Width: 60}) {
		if r > 0x7E || r < ' ' && r != '\n' {
			t.Fatalf("%q in\n%s", r, g.text(&builtins.Env{ASCII: true, Width: 60}))
		}
	}
}
