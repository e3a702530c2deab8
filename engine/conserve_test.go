package engine_test

import (
	"testing"

	"pulsewright/engine"
)

// held counts what a bench holds: the tokens in its holders, and the slugs, seated in cells or under way with a shuttle.
func held(b *engine.Bench, cells []engine.Cell) (tokens, slugs int) {
	for id := engine.ID(1); b.Thing(id).ID != 0; id++ {
		if b.Thing(id).Removed {
			continue
		}
		s := b.State(id)
		tokens += s.Tokens
		if t := b.Thing(id); s.Transit && (s.Carries != 0 || t.Grip == 0 && t.Slug != 0) {
			slugs++
		}
	}
	for _, c := range cells {
		if b.CellState(c).Seated != 0 {
			slugs++
		}
	}
	return tokens, slugs
}

// cellsAround lists the cells in which a slug of the bench can ever sit: those of its parts, and all within reach of a shuttle of them.
func cellsAround(b *engine.Bench) (cells []engine.Cell) {
	seen := map[engine.Cell]bool{}
	for id := engine.ID(1); b.Thing(id).ID != 0; id++ {
		t := b.Thing(id)
		for d := range engine.Dir(6) {
			for n := range int32(3) {
				c := t.Cell
				for range n {
					c = c.Add(d.Cell())
				}
				if !t.Shelf && !seen[c] {
					seen[c] = true
					cells = append(cells, c)
				}
			}
		}
	}
	return cells
}

// TestNothingIsLost: whatever acts, after every turn all counts are right, and there are as many tokens and as many slugs as before, but for those
// tokens that a tray has consumed.
func TestNothingIsLost(t *testing.T) {
	benches, moved := 0, 0
	for seed := range uint64(setting(t, "PULSEWRIGHT_BENCHES", 1000) / 2) {
		b, turns := setUp(t, seed)
		cells := cellsAround(b)
		tokens, slugs := held(b, cells)
		if tokens+slugs == 0 {
			continue
		}
		benches++
		for i := range turns {
			from := engine.EventID(b.EventCount() + 1)
			run(t, b, 1)
			for _, e := range eventsOf(b, from) {
				if e.What == engine.Consumes {
					tokens--
				}
			}
			if nowTokens, nowSlugs := held(b, cells); nowTokens != tokens || nowSlugs != slugs {
				t.Fatalf("seed %d: after turn %d, at %v, there are %d tokens and %d slugs, want %d and %d", seed, i, b.Now(), nowTokens, nowSlugs, tokens, slugs)
			}
		}
		for _, e := range b.Events(1) {
			if e.What == engine.Lands || e.What == engine.Passes || e.What == engine.Drops || e.What == engine.Moves {
				moved++
			}
		}
	}
	if benches < 50 || moved < 50 {
		t.Errorf("%d benches with tokens or slugs, of which %d moved", benches, moved)
	}
}
