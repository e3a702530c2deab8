package stage

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"pulsewright/engine"
)

// PosedBench is a small bench of parts of all kinds with settings and poses of all sorts, on the lattice and on the shelf, joined by
// cords; nothing has run on it.
func PosedBench(r *rand.Rand, rules engine.Rules) *engine.Bench {
	b := engine.New(rules)
	box := engine.Cell{X: 2 + r.Int32N(9), Y: 1 + r.Int32N(5), Z: 1 + r.Int32N(3)}
	low := engine.Cell{X: r.Int32N(40) - 20, Y: r.Int32N(300) - 150, Z: r.Int32N(5) - 2}
	cell := func() engine.Cell {
		return low.Add(engine.Cell{X: r.Int32N(box.X), Y: r.Int32N(box.Y), Z: r.Int32N(box.Z)})
	}
	if r.IntN(3) == 0 { // far apart
		box.X *= 400
	}
	kinds := engine.Kinds()
	var ids []engine.ID
	add := func(id engine.ID, err error) {
		if err == nil {
			ids = append(ids, id)
		}
	}
	for i := range 5 + r.IntN(40) {
		p := posedPart(r, kinds[r.IntN(len(kinds))])
		switch r.IntN(4) {
		case 0:
			p.Name = fmt.Sprintf("%s %d", []string{"quay", "r1.\"pull\"", "B\u00f6schung", "#"}[r.IntN(4)], i)
		case 1: // a row
			step, at := engine.Dir(r.IntN(6)).Cell(), cell()
			for k := range 2 + r.IntN(4) {
				p.Name = fmt.Sprintf("line%d.%d", i, k)
				add(b.Place(at, p))
				at = at.Add(step)
			}
			continue
		}
		if r.IntN(6) == 0 {
			p.Pads, p.FarSet, p.Slug = nil, false, engine.NoSlug
			add(b.Shelve(p))
			continue
		}
		add(b.Place(cell(), p))
	}
	for range r.IntN(8) {
		if len(ids) > 0 {
			from, to := ids[r.IntN(len(ids))], ids[r.IntN(len(ids))]
			zero := b.KindOf(to) == engine.Lamp || b.KindOf(to) == engine.Reed // one that puts itself out never comes to an end
			b.Patch(from, to, engine.Cord{Power: r.IntN(4) > 0, News: r.IntN(4) > 0, Invert: !zero && r.IntN(3) == 0})
		}
	}
	for range r.IntN(4) {
		if len(ids) > 0 {
			i := r.IntN(len(ids))
			b.Remove(ids[i])
			ids = append(ids[:i], ids[i+1:]...)
		}
	}
	return b
}

// posedPart is a part with any settings that are allowed.
func posedPart(r *rand.Rand, k engine.Kind) engine.Part {
	some := func(n int) int { return r.IntN(2) * r.IntN(n) }
	p := engine.Part{Kind: k, Facing: engine.Dir(r.IntN(6)), On: r.IntN(3) == 0, Out: r.IntN(3) == 0, Hold: some(4), Drop: some(4), Slug: engine.Slug(r.IntN(4)), Op: engine.Op(r.IntN(len(engine.Ops())))}
	switch k {
	case engine.Delay:
		if p.Mode, p.Ticks = engine.Mode(r.IntN(3)), some(5); p.Mode == engine.Inertial && p.Ticks > 0 {
			p.Reject = r.IntN(p.Ticks + 1)
		}
	case engine.Oneshot, engine.Chute, engine.Gate:
		p.Ticks = some(5)
	case engine.Bucket:
		p.Tokens = r.IntN(2)
	case engine.Tray:
		p.Room, p.Keep = r.IntN(15), some(4)
		p.Tokens = r.IntN(max(p.Room, 1) + 1)
	case engine.Meter:
		p.Level = some(30)
	case engine.Shuttle:
		if p.Travel = some(5); r.IntN(3) == 0 {
			p.Slug, p.Grip, p.LetGo = engine.NoSlug, engine.Grip(1+r.IntN(2)), r.IntN(2) == 0
		}
	}
	t := k.Trait()
	switch far := t.Far != engine.NoFar && r.IntN(3) == 0; {
	case far:
		p.Far, p.FarSet = engine.Dir(r.IntN(6)), true
	case t.Given && r.IntN(5) == 0:
		p.Pads = []engine.Cell{}
		for range r.IntN(3) {
			off := engine.Cell{X: r.Int32N(5) - 2, Y: r.Int32N(5) - 2, Z: r.Int32N(3) - 1}
			if off != (engine.Cell{}) && !slices.Contains(p.Pads, off) {
				p.Pads = append(p.Pads, off)
			}
		}
	}
	return p
}
