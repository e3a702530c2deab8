package picture

import (
	"pulsewright/builtins"

	"fmt"
	"math"
	"slices"

	"go.starlark.net/starlark"
)

// graph is what is drawn: points, or with z the fields of a heat map.
type graph struct {
	heads  [3]string
	xs, ys []float64 // of a heat map: what stands along its sides, ascending
	pts    [][3]float64
	heat   bool
	lost   int // rows without a number
	hidden int // fields of a heat map with several rows, of which the last is shown
}

// numberOf reads a value as a number: True is 1.
func numberOf(v starlark.Value) (float64, bool) {
	if b, ok := v.(starlark.Bool); ok {
		return float64(builtins.BoolInt(bool(b))), true
	}
	f, ok := starlark.AsFloat(v)
	return f, ok && !math.IsNaN(f) && !math.IsInf(f, 0)
}

// numeric reports whether a column holds a number at least.
func numeric(t *builtins.Table, i int) bool {
	return slices.ContainsFunc(t.Rows, func(r []starlark.Value) bool {
		if i >= len(r) {
			return false
		}
		_, ok := numberOf(r[i])
		return ok
	})
}

// graphOf chooses columns and reads them.
func graphOf(t *builtins.Table, names ...string) (*graph, error) {
	at, err := named(t, names)
	if err != nil {
		return nil, err
	}
	g := &graph{}
	if at, g.heat, err = completed(t, at); err != nil {
		return nil, err
	}
	for k, i := range at {
		if i >= 0 {
			g.heads[k] = t.Head[i]
		}
	}
	if g.read(t, at); len(g.pts) == 0 {
		return nil, fmt.Errorf("no row holds numbers in all of %s", builtins.Joined(g.heads[:]))
	}
	if g.heat {
		g.showLast()
	}
	return g, nil
}

// named finds the columns that were named, in the order x, y, z; -1 for those that were not.
func named(t *builtins.Table, names []string) (at [3]int, err error) {
	at = [3]int{-1, -1, -1}
	for k, n := range names {
		if n == "" {
			continue
		}
		i, err := t.Index(n)
		if err != nil {
			return at, err
		}
		if !numeric(t, i) {
			return at, fmt.Errorf("column %q holds no numbers", n)
		}
		at[k] = i
	}
	return at, nil
}

// completed takes the first free columns of numbers for those not named, and says whether the plot is a heat map: if a third
// column was named, or two variables are to be seen.
func completed(t *builtins.Table, at [3]int) (_ [3]int, heat bool, err error) {
	var free []int
	for i := range t.Head {
		if !slices.Contains(at[:], i) && numeric(t, i) {
			free = append(free, i)
		}
	}
	take := func(k int) {
		if at[k] < 0 && len(free) > 0 {
			at[k], free = free[0], free[1:]
		}
	}
	take(0)
	if at[0] < 0 {
		return at, false, fmt.Errorf("no column holds numbers")
	}
	heat = at[2] >= 0 || at[1] < 0 && len(free) > 1 && twoVariables(t, at[0], free[0])
	take(1)
	if at[1] < 0 {
		return at, heat, fmt.Errorf("there is one column of numbers only; a plot needs two")
	}
	if heat {
		if take(2); at[2] < 0 {
			return at, heat, fmt.Errorf("there are two columns of numbers only; a heat map needs three")
		}
	}
	return at, heat, nil
}

// twoVariables reports whether no value of the first column stands for itself alone, and pairs do.
func twoVariables(t *builtins.Table, x, y int) bool {
	seen, pairs := map[float64]bool{}, map[[2]float64]bool{}
	for _, r := range t.Rows {
		a, _ := numberOf(r[x])
		b, _ := numberOf(r[y])
		seen[a], pairs[[2]float64{a, b}] = true, true
	}
	return len(seen) < len(t.Rows) && len(pairs) == len(t.Rows)
}

// read takes the rows that hold numbers in all columns, and counts the others.
func (g *graph) read(t *builtins.Table, at [3]int) {
	for _, r := range t.Rows {
		var p [3]float64
		whole := true
		for k, i := range at {
			if i >= 0 {
				var ok bool
				p[k], ok = numberOf(r[i])
				whole = whole && ok
			}
		}
		if !whole {
			g.lost++
			continue
		}
		g.pts = append(g.pts, p)
		g.xs, g.ys = append(g.xs, p[0]), append(g.ys, p[1])
	}
	slices.Sort(g.xs)
	slices.Sort(g.ys)
	g.xs, g.ys = slices.Compact(g.xs), slices.Compact(g.ys)
}

// showLast keeps the last of the rows that fall on one field of a heat map, and counts the fields with several.
func (g *graph) showLast() {
	rows, several := map[[2]float64]int{}, map[[2]float64]bool{}
	var pts [][3]float64
	for _, p := range g.pts {
		at := [2]float64{p[0], p[1]}
		if i, ok := rows[at]; ok {
			pts[i], several[at] = p, true
			continue
		}
		rows[at] = len(pts)
		pts = append(pts, p)
	}
	g.pts, g.hidden = pts, len(several)
}
