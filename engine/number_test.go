package engine_test

import (
	"math/rand/v2"
	"testing"

	"pulsewright/engine"
)

// Numbering parts anew changes nothing that can be seen: a bench numbered before every
// few turns logs what its twin logs.
func TestNumberingIsInvisible(t *testing.T) {
	for seed := range uint64(40) {
		rnd := rand.New(rand.NewPCG(seed, 7))
		build := func() *engine.Bench { return mixedLattice(400, rand.New(rand.NewPCG(seed, 8))) }
		plain, numbered := build(), build()
		for range 60 {
			c := engine.Cell{X: rnd.Int32N(8), Y: rnd.Int32N(8), Z: rnd.Int32N(7)}
			f := engine.Firing{Steps: rnd.IntN(6), Ticks: rnd.IntN(2)}
			for _, w := range []*engine.Bench{plain, numbered} {
				check(w.Fire(engine.Target{Cell: c}, f))
			}
			for range rnd.IntN(30) {
				_, _ = plain.Turn()
				_, _ = numbered.Turn()
			}
			numbered.Number()
			if err := numbered.Check(); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
		}
		if plain.EventCount() != numbered.EventCount() || plain.Fingerprint() != numbered.Fingerprint() {
			t.Fatalf("seed %d: %d events, numbered anew %d", seed, plain.EventCount(), numbered.EventCount())
		}
		for id, e := range plain.Events(1) {
			if n := numbered.Event(id); n != e {
				t.Fatalf("seed %d: event %d is %v, numbered anew %v", seed, id, e, n)
			}
		}
	}
}

// mixedLattice is a box of about n parts of mixed kinds, placed in random order.
func mixedLattice(n int, rnd *rand.Rand) *engine.Bench {
	w := engine.New(engine.DefaultRules())
	side := int32(1)
	for int(side*side*side) < n {
		side++
	}
	cells := make([]engine.Cell, 0, n)
	for z := range side {
		for y := range side {
			for x := range side {
				cells = append(cells, engine.Cell{X: x, Y: y, Z: z})
			}
		}
	}
	rnd.Shuffle(len(cells), func(i, j int) { cells[i], cells[j] = cells[j], cells[i] })
	kinds := []engine.Kind{engine.Wire, engine.Link, engine.Gate, engine.Reed, engine.Lamp, engine.Link, engine.Gate, engine.Delay}
	for _, c := range cells[:min(n, len(cells))] {
		p := engine.Part{Kind: kinds[rnd.IntN(len(kinds))], Facing: engine.Dir(rnd.IntN(6)), Op: engine.Op(rnd.IntN(8))}
		must(w.Place(c, p))
	}
	return w
}
