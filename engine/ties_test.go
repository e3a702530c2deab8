package engine_test

import (
	"slices"
	"testing"

	"pulsewright/engine"
)

// TestTiesAgreeWithPower: what Pads says is live is what a part is powered by, and Readers is Pads seen from the other side.
func TestTiesAgreeWithPower(t *testing.T) {
	live, fed, tokens := 0, 0, 0
	overSeeds(t, func(t *testing.T, seed uint64) {
		b, turns := setUp(t, seed)
		for range min(turns, 1+int(seed%7)) {
			b.Turn()
		}
		for id := range b.Parts() {
			s, kind := b.State(id), b.KindOf(id)
			on := s.Forced
			for _, p := range b.Pads(id) {
				on = on || p.Live
			}
			for _, c := range b.CordsOf(id) {
				on = on || c.Live && c.To == id
			}
			switch kind {
			case engine.Gate, engine.Meter, engine.Battery, engine.Key, engine.Tray: // they do not go by any live pad
			case engine.Wire, engine.Jack:
				if s.On && !on {
					t.Errorf("%s is live, and nothing around it is", b.Label(id))
				}
			default:
				if s.Powered != on {
					t.Errorf("%s is powered: %v, its pads say %v: %+v", b.Label(id), s.Powered, on, b.Pads(id))
				}
			}
			if on {
				live++
			}
			for _, p := range b.Pads(id) {
				if b.KindOf(p.ID) == engine.Bare || p.Void {
					continue
				}
				r := slices.IndexFunc(b.Readers(p.ID), func(r engine.Reader) bool { return r.ID == id })
				if r < 0 {
					t.Errorf("%s reads %s, which does not know: %+v", b.Label(id), b.Label(p.ID), b.Readers(p.ID))
				} else if p.Live && !b.Readers(p.ID)[r].Live {
					t.Errorf("%s reads %s live, which does not know", b.Label(id), b.Label(p.ID))
				}
			}
			for _, r := range b.Readers(id) {
				fed++
				if r.Tokens {
					tokens++
				}
				if !readBy(b, id, r) {
					t.Errorf("%s does not read %s: %+v", b.Label(r.ID), b.Label(id), b.Pads(r.ID))
				}
			}
		}
	})
	if live == 0 || fed == 0 || tokens == 0 {
		t.Errorf("%d parts powered, %d read, %d by their tokens: that tries nothing", live, fed, tokens)
	}
}

// readBy looks from the side of a reader whether it reads a part.
func readBy(b *engine.Bench, id engine.ID, r engine.Reader) bool {
	at, _ := b.CellOf(id)
	kind, thing := b.KindOf(id), b.Thing(id)
	cells := []engine.Cell{at}
	if kind == engine.Shuttle {
		d := thing.Facing.Cell()
		cells = append(cells, at.Add(d), at.Add(d).Add(d))
	}
	if r.Tokens {
		to, _ := b.CellOf(r.ID)
		d := b.Thing(r.ID).Facing.Cell()
		return to.Add(d) == at && b.KindOf(r.ID) == engine.Chute || at.Add(d) == to
	}
	for _, p := range b.Pads(r.ID) {
		if slices.Contains(cells, p.Cell) && !(kind == engine.Shuttle && p.Cell == at && p.Void) {
			return true
		}
	}
	for _, c := range b.CordsOf(id) {
		if c.From == id && c.To == r.ID && c.Power {
			return true
		}
	}
	return false
}
