package survey

import (
	"pulsewright/engine"
	"slices"
	"sync"
)

// allPoses are the 48 orientations, the plain one first.
var allPoses = sync.OnceValue(func() (ps []surveyPose) {
	for _, mirror := range []bool{false, true} {
		for x := engine.PosX; x <= engine.NegZ; x++ {
			for y := engine.PosX; y <= engine.NegZ; y++ {
				if x/2 != y/2 {
					ps = append(ps, surveyPose{X: x, Y: y, Mirror: mirror})
				}
			}
		}
	}
	plain := slices.IndexFunc(ps, func(p surveyPose) bool { return p.X == engine.PosX && p.Y == engine.PosY && !p.Mirror })
	ps[0], ps[plain] = ps[plain], ps[0]
	return ps
})

// allOrders are the 720 neighbour orders, the usual one first, then by how they differ from it.
var allOrders = sync.OnceValue(func() (orders [][6]engine.Dir) {
	var grow func(o []engine.Dir)
	grow = func(o []engine.Dir) {
		if len(o) == 6 {
			orders = append(orders, [6]engine.Dir(o))
			return
		}
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if !slices.Contains(o, d) {
				grow(append(slices.Clone(o), d))
			}
		}
	}
	grow(nil)
	usual := orders[0]
	slices.SortStableFunc(orders, func(a, b [6]engine.Dir) int { return swaps(a, usual) - swaps(b, usual) })
	return orders
})

// swaps is how many pairs two orders put differently.
func swaps(a, b [6]engine.Dir) int { return len(swapped(a, b)) }

// swapped are the pairs that a puts as they are written and b the other way.
func swapped(a, b [6]engine.Dir) (pairs [][2]engine.Dir) {
	for i := range a {
		for j := i + 1; j < len(a); j++ {
			if slices.Index(b[:], a[i]) > slices.Index(b[:], a[j]) {
				pairs = append(pairs, [2]engine.Dir{a[i], a[j]})
			}
		}
	}
	return pairs
}

// orderKey is the same for two orders that no cell can tell apart.
func orderKey(o [6]engine.Dir, masks []int) string {
	key := make([]byte, 0, 7*len(masks))
	for _, m := range masks {
		for _, d := range o {
			if (m>>d)&1 != 0 {
				key = append(key, byte(d))
			}
		}
		key = append(key, 9)
	}
	return string(key)
}
