package calibrate

import (
	"slices"

	"pulsewright/engine"
)

// What random arrangements around a kind do not show is shown by some made by hand: how far what it feeds goes, and whether it acts at once or
// a step later.

// byHand are these rigs of the kind.
func (f *family) byHand() []*Rig { return slices.Concat(f.rows(), f.races()) }

// rows have so many wires in front of the kind, and a lamp behind them: a level of its own that the kind feeds either gets there or not.
func (f *family) rows() (rigs []*Rig) {
	if !f.kinds[0].Spec.Faces {
		return nil
	}
	var wires []int
	for _, k := range f.kinds {
		for _, x := range k.Spec.Feeds {
			for _, n := range []int{x.Level, x.Level + 1} {
				if x.Level > 0 && n <= mostParts && !slices.Contains(wires, n) {
					wires = append(wires, n)
				}
			}
		}
	}
	slices.Sort(wires)
	for _, n := range wires {
		for _, key := range []engine.Cell{{X: -1}, {Y: -1}} {
			for _, hold := range []int64{0, 1} {
				r := f.arranged(setting{key: key, pulses: int(hold), hold: hold, beside: engine.Lamp, at: engine.Cell{X: int32(n + 1)}})
				for x := range n {
					r.parts = append(r.parts, letters(engine.Wire, engine.Cell{X: int32(x + 1)}, 0))
				}
				rigs = append(rigs, r)
			}
		}
	}
	return rigs
}

// races have a shuttle in front of the kind that is armed, and hears of the key by reeds, which hand on news without power. It moves if what the kind
// feeds, or no longer feeds, comes a step too late: where acts of one step see nothing of each other, that is so in any order. After one tick one sees
// whether it moved.
func (f *family) races() (rigs []*Rig) {
	for _, k := range []struct {
		key   engine.Cell
		reeds []engine.Cell
	}{
		{engine.Cell{X: -1}, []engine.Cell{{X: -1, Y: 1}, {Y: 1}, {X: 1, Y: 1}}},
		{engine.Cell{Y: 1}, []engine.Cell{{X: 1, Y: 1}}},
	} {
		for _, out := range []bool{true, false} {
			r := f.arranged(setting{key: k.key, beside: engine.Shuttle, at: engine.Cell{X: 1}})
			s := &r.parts[r.seen[0].parts[0]]
			s.Facing, s.Slug, s.Out = engine.PosZ, engine.Plug, out // its far pad is empty
			for _, at := range k.reeds {
				r.parts = append(r.parts, letters(engine.Reed, at, engine.PosZ))
			}
			r.looks = []int64{1}
			rigs = append(rigs, r)
		}
	}
	return rigs
}

// underRules are the rules under which rigs made by hand are tried, the usual ones first: what acts see may hide what they tell.
func underRules() []engine.Rules {
	r := engine.DefaultRules()
	r.Reads = engine.ByStep
	return []engine.Rules{engine.DefaultRules(), r}
}
