package engine_test

import (
	"fmt"
	"slices"
	"testing"
)

// ticksOf lists the ticks in which a part changes, whatever to.
func (r rig) ticksOf(part string) []int64 {
	var ticks []int64
	for _, e := range r.edges() {
		if e.part == part {
			ticks = append(ticks, e.tick)
		}
	}
	return ticks
}

// TestMaxPlus: a timed event graph follows x_i(k) = max over j of A_ij + x_j(k-1). Node i is a
// C-element of delays of A_ij ticks and an xor with an input that rises at 1 + x_i(0), so that its
// k-th change is in tick 1 + x_i(k). The recursion is computed here besides.
//
// R5. J. Stanczyk, Max-Plus Algebra Toolbox for Matlab, manual v1.7, 2016, Ex. 2.41, 2.46, 4.1:
// read. The matrix goes back to Baccelli, Cohen, Olsder, Quadrat, Synchronization and Linearity,
// 1992, 1.1: from memory.
// R6. Same manual, 4.4.1, eqs. (53)–(58), after De Schutter: read, run.
// R7. Heidergott, Olsder, van der Woude, Max Plus at Work, 2006, ch. 0: from memory; its
// arithmetic run.
func TestMaxPlus(t *testing.T) {
	const none = -1 << 40
	for _, c := range []struct {
		name   string
		a      [][]int64
		x0     []int64
		states [][]int64 // published, from x0 on
		per    int64     // x(k+steps) - x(k) …
		steps  int
		from   int // … from this k on
	}{
		{"maxplus_3724", [][]int64{{3, 7}, {2, 4}}, []int64{0, 0},
			[][]int64{{0, 0}, {7, 4}, {11, 9}, {16, 13}, {20, 18}, {25, 22}, {29, 27}}, 9, 2, 1},
		{"maxplus_shop", [][]int64{{5, none, 5}, {none, 6, 3}, {11, 12, 11}}, []int64{2, 0, 8},
			[][]int64{{2, 0, 8}, {13, 11, 19}, {24, 22, 30}, {35, 33, 41}, {46, 44, 52}}, 11, 1, 0},
		{"maxplus_stations", [][]int64{{2, 5}, {3, 3}}, []int64{0, 0},
			[][]int64{{0, 0}, {5, 3}, {8, 8}, {13, 11}, {16, 16}}, 8, 2, 0},
	} {
		r := loadNetwork(t, c.name).rig(t, rules(), nil)
		r.run(t)
		x := slices.Clone(c.x0)
		for k := 0; 1+slices.Max(x) <= r.net.Until; k++ {
			for i := range x {
				ticks := r.ticksOf(fmt.Sprint("x", i+1))
				if k >= len(ticks) || ticks[k] != 1+x[i] {
					t.Fatalf("%s: x%d changes in ticks %v, want number %d in %d", c.name, i+1, ticks, k, 1+x[i])
				}
				if k >= c.steps+c.from && ticks[k]-ticks[k-c.steps] != c.per {
					t.Errorf("%s: x%d gains %d in %d changes, want %d", c.name, i+1, ticks[k]-ticks[k-c.steps], c.steps, c.per)
				}
			}
			if k < len(c.states) && !slices.Equal(x, c.states[k]) {
				t.Fatalf("%s: the recursion gives x(%d) = %v, published %v", c.name, k, x, c.states[k])
			}
			next := make([]int64, len(x))
			for i := range x {
				for j := range x {
					next[i] = max(next[i], c.a[i][j]+x[j])
				}
			}
			x = next
		}
	}
}
