package engine

import "slices"

// The neighbour order of a cell: that of the rules, or, where orders are mixed, one of the cell's own.

// orders are all neighbour orders, in lexicographic order of the usual one.
var orders = func() (all [720][6]Dir) {
	n := 0
	var add func(order []Dir)
	add = func(order []Dir) {
		if len(order) == 6 {
			copy(all[n][:], order)
			n++
			return
		}
		for d := PosX; d <= NegZ; d++ {
			if !slices.Contains(order, d) {
				add(append(order, d))
			}
		}
	}
	add(make([]Dir, 0, 6))
	return all
}()

// OrderAt is the neighbour order of a cell under the rules.
func (r *Rules) OrderAt(c Cell) [6]Dir {
	if !r.Mixed {
		return r.Order
	}
	return orders[r.mixedAt(c)]
}

// mixedAt is the number of the order that a cell has where orders are mixed.
func (r *Rules) mixedAt(c Cell) uint16 {
	h := mix(r.Seed)
	for _, x := range [...]int32{c.X, c.Y, c.Z} {
		h = mix(h + uint64(int64(x)))
	}
	return uint16(h % uint64(len(orders)))
}

func mix(v uint64) uint64 {
	v += 0x9E3779B97F4A7C15
	v = (v ^ v>>30) * 0xBF58476D1CE4E5B9
	v = (v ^ v>>27) * 0x94D049BB133111EB
	return v ^ v>>31
}

// order is the neighbour order of the cell at s.
func (b *Bench) order(s int32) *[6]Dir {
	if b.mixed == nil {
		return &b.rules.Order
	}
	return &orders[b.mixed[s]]
}

// mixOrders numbers the order of each site anew, after the rules changed.
func (b *Bench) mixOrders() {
	b.mixed = nil
	if !b.rules.Mixed {
		return
	}
	b.mixed = make([]uint16, len(b.cell))
	for s, c := range b.cell {
		b.mixed[s] = b.rules.mixedAt(c)
	}
}
