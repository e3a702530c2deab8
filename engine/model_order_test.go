package engine_test

import (
	"testing"

	"pulsewright/engine"
)

// orderOf is the neighbour order of a place: that of the rules, or one that follows from the seed and the cell.
func (m *model) orderOf(p place) []engine.Dir {
	if !m.rules.Mixed {
		return m.rules.Order[:]
	}
	const every = 1<<64 - 1
	scramble := func(v uint64) uint64 {
		v = (v + 0x9E3779B97F4A7C15) & every
		v = ((v ^ (v >> 30)) * 0xBF58476D1CE4E5B9) & every
		v = ((v ^ (v >> 27)) * 0x94D049BB133111EB) & every
		return v ^ (v >> 31)
	}
	h := scramble(scramble(scramble(scramble(m.rules.Seed)+uint64(p.cell.X))+uint64(p.cell.Y)) + uint64(p.cell.Z))
	left := []engine.Dir{engine.PosX, engine.NegX, engine.PosY, engine.NegY, engine.PosZ, engine.NegZ}
	var order []engine.Dir
	rest, ways := int(h%720), 720
	for n := 6; n > 0; n-- { // the first direction says which sixth of the orders it is, and so on
		ways /= n
		i := rest / ways
		rest %= ways
		order = append(order, left[i])
		left = append(append([]engine.Dir{}, left[:i]...), left[i+1:]...)
	}
	return order
}

// TestMixedOrders: values worked out by hand from the text of the rule, in another language; and no seed or cell has the model and the engine differ.
func TestMixedOrders(t *testing.T) {
	for _, c := range []struct {
		seed uint64
		cell engine.Cell
		want string
	}{
		{0, engine.Cell{X: 0, Y: 0, Z: 0}, "-z+x-y+z-x+y"},
		{7, engine.Cell{X: 1, Y: 2, Z: 3}, "+z-y-x-z+x+y"},
		{7, engine.Cell{X: -1, Y: -2, Z: 0}, "+z-z+y+x-x-y"},
		{9223372036854775807, engine.Cell{X: -5, Y: 3, Z: 9}, "+x-y+z-z-x+y"},
		{1, engine.Cell{X: 0, Y: 0, Z: -1}, "-z-x-y+z+y+x"},
		{12, engine.Cell{X: 100, Y: -100, Z: 7}, "-y+y+z+x-z-x"},
	} {
		r := engine.DefaultRules()
		r.Mixed, r.Seed = true, c.seed
		got := ""
		for _, d := range r.OrderAt(c.cell) {
			got += d.String()
		}
		if got != c.want {
			t.Errorf("mixed %d: %v has the order %s, want %s", c.seed, c.cell, got, c.want)
		}
	}
	r := engine.DefaultRules()
	r.Mixed = true
	seen := map[[6]engine.Dir]bool{}
	for n := range int32(20000) {
		r.Seed = uint64(n % 7)
		c := engine.Cell{X: n%41 - 20, Y: n/41%23 - 11, Z: n % 5}
		got := r.OrderAt(c)
		seen[got] = true
		if want := newModel(r).orderOf(place{cell: c}); [6]engine.Dir(want) != got {
			t.Fatalf("mixed %d: %v has the order %v, by the model %v", r.Seed, c, got, want)
		}
	}
	if len(seen) != 720 {
		t.Errorf("%d of 720 orders came up", len(seen))
	}
}
