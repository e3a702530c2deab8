package lag

import (
	"math/big"
	"slices"
)

// line is what something costs while one weight x goes from 0 up: at0 + slope·x. Neither is below 0.
type line struct{ at0, slope *big.Rat }

func (l line) at(x *big.Rat) *big.Rat {
	v := new(big.Rat).Mul(l.slope, x)
	return v.Add(v, l.at0)
}

// meets is the x at which one line comes to cost as much as another; nil if they are parallel.
func (l line) meets(m line) *big.Rat {
	d := new(big.Rat).Sub(l.slope, m.slope)
	if d.Sign() == 0 {
		return nil
	}
	x := new(big.Rat).Sub(m.at0, l.at0)
	return x.Quo(x, d)
}

// upper leaves those of some lines of which each is the highest for some x above 0, in the order in which they come to be it: the most of
// them all is a chain of these.
func upper(lines []line) (chain []line) {
	high := lines[0]
	for _, l := range lines[1:] { // the highest just above 0
		if c := l.at0.Cmp(high.at0); c > 0 || c == 0 && l.slope.Cmp(high.slope) > 0 {
			high = l
		}
	}
	for {
		chain = append(chain, high)
		var next line
		var from *big.Rat
		for _, l := range lines {
			if l.slope.Cmp(high.slope) <= 0 {
				continue
			}
			x := high.meets(l)
			if from == nil || x.Cmp(from) < 0 || x.Cmp(from) == 0 && l.slope.Cmp(next.slope) > 0 {
				next, from = l, x
			}
		}
		if from == nil {
			return chain
		}
		high = next
	}
}

// most is the most of some lines at x.
func most(lines []line, x *big.Rat) *big.Rat {
	v := lines[0].at(x)
	for _, l := range lines[1:] {
		if w := l.at(x); w.Cmp(v) > 0 {
			v = w
		}
	}
	return v
}

// part is a range of x, without its ends, and who costs the least in all of it.
type part struct {
	lo, hi *big.Rat // hi nil: without end
	least  []int
}

// along says who costs the least for which x above 0, if each costs the most of its lines. Between two neighbours of the x at which any two
// lines of theirs meet no order changes, so that one x tells of all; nothing is rounded.
func along(costs [][]line) (parts []part) {
	var all []line
	for i := range costs {
		costs[i] = upper(costs[i])
		all = append(all, costs[i]...)
	}
	var cuts []*big.Rat
	for i, l := range all {
		for _, m := range all[:i] {
			if x := l.meets(m); x != nil && x.Sign() > 0 {
				cuts = append(cuts, x)
			}
		}
	}
	slices.SortFunc(cuts, (*big.Rat).Cmp)
	cuts = slices.CompactFunc(cuts, func(a, b *big.Rat) bool { return a.Cmp(b) == 0 })
	lo := new(big.Rat)
	for k := range len(cuts) + 1 {
		var hi *big.Rat
		within := new(big.Rat).Add(lo, big.NewRat(1, 1))
		if k < len(cuts) {
			hi = cuts[k]
			within.Add(lo, hi).Quo(within, big.NewRat(2, 1))
		}
		at := make([]*big.Rat, len(costs))
		for i := range costs {
			at[i] = most(costs[i], within)
		}
		who := least(at)
		if n := len(parts); n > 0 && slices.Equal(parts[n-1].least, who) {
			parts[n-1].hi = hi
		} else {
			parts = append(parts, part{lo, hi, who})
		}
		lo = hi
	}
	return parts
}

// least are the places of the least of some numbers.
func least(of []*big.Rat) (who []int) {
	for i, v := range of {
		c := -1
		if len(who) > 0 {
			c = v.Cmp(of[who[0]])
		}
		switch {
		case c < 0:
			who = []int{i}
		case c == 0:
			who = append(who, i)
		}
	}
	return who
}
