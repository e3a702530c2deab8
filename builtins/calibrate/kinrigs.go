package calibrate

import (
	"fmt"
	"math"
	"slices"

	"pulsewright/engine"
)

// Rigs for a kind of the user's own are not known beforehand: they are looked for by running small arrangements around it in every way in which it
// may be told. A key behind, before or beside it, pressed once or some times, with batteries that make more of its cells live, and one looks
// tick by tick at the part itself, or at a lamp, a link or a reed beside it.

const (
	kinRigs    = 10     // that are kept for a kind
	kinRuns    = 60_000 // ticks of runs that looking for them may take, by ways
	mostPulses = 8
)

// search finds the rigs of the kind: the best for the parts they need, and for each two ways that any tells apart, two that do.
func (f *family) search() (rigs []*Rig) {
	if len(f.kinds) < 2 {
		return nil
	}
	type candidate struct {
		rig   *Rig
		shown []string
		bits  float64
	}
	var all []candidate
	spent := 0
	for _, r := range f.candidates() {
		if spent += len(f.kinds) * r.lastLook(); spent > kinRuns {
			break
		}
		k := candidate{rig: r}
		count := map[string]int{}
		for _, way := range f.kinds {
			text, err := r.told(way.Spec).outcome(engine.DefaultRules(), engine.Cell{})
			if err != nil || text == endless {
				count = nil
				break
			}
			k.shown = append(k.shown, text)
			count[text]++
		}
		for _, text := range k.shown {
			k.bits += math.Log2(float64(len(k.shown))/float64(count[text])) / float64(len(k.shown))
		}
		if len(count) > 1 {
			all = append(all, k)
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int {
		if d := b.bits/float64(len(b.rig.parts)) - a.bits/float64(len(a.rig.parts)); math.Abs(d) > least {
			return int(math.Copysign(1, d))
		}
		return len(a.rig.parts) - len(b.rig.parts)
	})
	apart := map[[2]int]int{}
	for _, k := range all {
		new := false
		for i := range k.shown {
			for j := range i {
				if k.shown[i] != k.shown[j] {
					new = new || apart[[2]int{j, i}] < 2
					apart[[2]int{j, i}]++
				}
			}
		}
		if new {
			k.rig.name = fmt.Sprintf("%s %d", f.name, len(rigs)+1)
			if rigs = append(rigs, k.rig); len(rigs) == kinRigs {
				break
			}
		}
	}
	return rigs
}

// lasts is so many ticks as the kind may take until nothing more comes of a press.
func (f *family) lasts() (ticks int) {
	for _, k := range f.kinds {
		n := 2
		for i := range k.Spec.States {
			n += max(k.Spec.When[i], 0) + k.Spec.Then[i]
		}
		ticks = max(ticks, n)
	}
	return min(ticks, mostLooks)
}

// setting is how an arrangement around the kind differs from the others.
type setting struct {
	key       engine.Cell // the kind is at (0, 0, 0) and faces +x
	pulses    int         // how often the key is pressed; 0: once, and it stays on
	hold      int64       // for how many ticks each time
	batteries []engine.Cell
	beside    engine.Kind // one looks at such a part; Told: at the kind itself
	at        engine.Cell
}

// candidates are the arrangements, those with few parts first.
func (f *family) candidates() (rigs []*Rig) {
	back, front := engine.Cell{X: -1}, engine.Cell{X: 1}
	sides := []engine.Cell{{Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}
	keys := []engine.Cell{back, front, sides[0]}
	more := [][]engine.Cell{nil, {back}, {front}, {{X: -2}}, {{X: 2}}}
	if !f.kinds[0].Spec.Faces {
		keys, more = keys[:1], [][]engine.Cell{nil, {front}}
	}
	type pressed struct {
		pulses int
		hold   int64
	}
	presses := []pressed{{0, 0}, {1, 1}, {1, 3}, {3, 1}, {mostPulses, 1}}
	for n := range len(sides) {
		for _, extra := range more {
			for _, key := range keys {
				for _, p := range presses {
					s := setting{key: key, pulses: p.pulses, hold: p.hold, batteries: append(slices.Clone(sides[len(sides)-n:]), extra...), beside: engine.Told}
					if slices.Contains(s.batteries, key) {
						continue
					}
					rigs = append(rigs, f.arranged(s))
					for _, at := range []engine.Cell{front, sides[1]} {
						if at == key || slices.Contains(s.batteries, at) {
							continue
						}
						for _, s.beside = range []engine.Kind{engine.Lamp, engine.Link, engine.Reed} {
							s.at = at
							rigs = append(rigs, f.arranged(s))
						}
					}
				}
			}
		}
	}
	slices.SortStableFunc(rigs, func(a, b *Rig) int { return len(a.parts) - len(b.parts) })
	return rigs
}

// arranged is the rig of a setting.
func (f *family) arranged(s setting) *Rig {
	r := &Rig{about: f.name, kin: f, name: f.name}
	key := piece{s.key, engine.Part{Kind: engine.Key, Name: "key", Hold: int(s.hold)}}
	own := piece{engine.Cell{}, engine.Part{Kind: engine.Told, Spec: f.way(0), Name: f.name}}
	r.parts = []piece{key, own}
	r.keys = []press{{0, 1}}
	for n := 1; n < s.pulses; n++ {
		r.keys = append(r.keys, press{0, 1 + 2*int64(n)*s.hold})
	}
	for _, c := range s.batteries {
		r.parts = append(r.parts, letters(engine.Battery, c, 0))
	}
	r.seen = []watch{{f.name, []int{1}}}
	if s.beside != engine.Told {
		p := piece{s.at, engine.Part{Kind: s.beside, Name: s.beside.String()}}
		if s.beside.Trait().Faces { // away from the kind, which is then at its back
			for d := engine.PosX; d <= engine.NegZ; d++ {
				if d.Cell() == s.at {
					p.Facing = d
				}
			}
		}
		r.seen = []watch{{p.Name, []int{len(r.parts)}}}
		r.parts = append(r.parts, p)
	}
	last := int(r.keys[len(r.keys)-1].tick+s.hold) + f.lasts()
	for t := range min(last, mostLooks) {
		r.looks = append(r.looks, int64(t+1))
	}
	return r
}
