package calibrate

import (
	"fmt"
	"math"
	"slices"

	"pulsewright/engine"
)

// Rigs for a kind of the user's own are not known beforehand: they are looked for by running small arrangements around it in every way in which it
// may be told. A key behind, before or beside it, pressed once or some times, with batteries that make more of its cells live, and one looks
// tick by tick at the part itself, or at a lamp, a link or a reed beside it. Others are made by hand (kinmade.go).

const (
	kinRigs     = 10     // that are kept for a kind, besides those made by hand
	kinRuns     = 60_000 // ticks of runs that looking for them may take, by ways
	fewestTried = 24     // whatever that takes
	mostPulses  = 8
	mostWatched = 200 // ticks
)

// tried is a rig with what it shows, under each of some rules, for each way to tell the kind.
type tried struct {
	rig   *Rig
	shown [][]string
	bits  float64 // that it tells under the first of them
}

// try runs a rig in every way in which the kind may be told. ok: it comes to rest in all of them, and some are told apart.
func (f *family) try(r *Rig, under []engine.Rules) (k tried, ok bool) {
	k.rig = r
	for u, rules := range under {
		count := map[string]int{}
		var shown []string
		for _, way := range f.kinds {
			text, err := r.told(way.Spec).outcome(rules, engine.Cell{})
			if err != nil || text == endless {
				return k, false
			}
			shown = append(shown, text)
			count[text]++
		}
		k.shown, ok = append(k.shown, shown), ok || len(count) > 1
		if u == 0 {
			for _, text := range shown {
				k.bits += math.Log2(float64(len(shown))/float64(count[text])) / float64(len(shown))
			}
		}
	}
	return k, ok
}

// search finds the rigs of the kind: the best for the parts they need, and for each two ways that any tells apart, two that do; then those made
// by hand that add to these.
func (f *family) search() (rigs []*Rig) {
	if len(f.kinds) < 2 {
		return nil
	}
	under := underRules()
	var all, made []tried
	spent := 0
	for i, r := range f.candidates() {
		if spent += len(f.kinds) * r.lastLook(); spent > kinRuns && i >= fewestTried {
			break
		}
		if k, ok := f.try(r, under[:1]); ok {
			all = append(all, k)
		}
	}
	for _, r := range f.byHand() {
		if k, ok := f.try(r, under); ok {
			made = append(made, k)
		}
	}
	slices.SortStableFunc(all, func(a, b tried) int {
		if d := b.bits/float64(len(b.rig.parts)) - a.bits/float64(len(a.rig.parts)); math.Abs(d) > least {
			return int(math.Copysign(1, d))
		}
		return len(a.rig.parts) - len(b.rig.parts)
	})
	apart := map[[3]int]int{} // how many rigs tell two ways apart, by the rules
	add := func(k tried) {
		new := false
		for u := range under {
			shown := k.shown[min(u, len(k.shown)-1)]
			for i := range shown {
				for j := range i {
					if shown[i] != shown[j] {
						new = new || apart[[3]int{u, j, i}] < 2
						apart[[3]int{u, j, i}]++
					}
				}
			}
		}
		if new {
			k.rig.name = fmt.Sprintf("%s %d", f.name, len(rigs)+1)
			rigs = append(rigs, k.rig)
		}
	}
	for _, k := range all {
		if add(k); len(rigs) == kinRigs {
			break
		}
	}
	for _, k := range made {
		add(k)
	}
	return rigs
}

// lasts is so many ticks as the kind may take until nothing more comes of a press.
func (f *family) lasts() (ticks int) {
	for _, k := range f.kinds {
		n := 2
		for i := range k.Spec.States {
			n = min(n+max(k.Spec.When[i], 0), mostWatched)
			n = min(n+k.Spec.Then[i], mostWatched)
		}
		ticks = max(ticks, n)
	}
	return ticks
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
	for t := range min(last, mostWatched) {
		r.looks = append(r.looks, int64(t+1))
	}
	return r
}
