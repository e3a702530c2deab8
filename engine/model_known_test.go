package engine_test

import (
	"testing"

	"pulsewright/engine"
)

// TestSmallBenches compares model and engine on small benches, each for one rule that a change of the engine
// could break and that random benches seldom touch. Most of them are random benches on which the two once
// differed, cut down.
func TestSmallBenches(t *testing.T) {
	cell := func(x, y, z int32) engine.Cell { return engine.Cell{X: x, Y: y, Z: z} }
	place := func(label int, at engine.Cell, p engine.Part) deed {
		return deed{do: doPlace, part: label, cell: at, spec: p}
	}
	run, turns := deed{do: doRun}, func(n int) deed { return deed{do: doTurns, n: n} }
	order := func(ds ...engine.Dir) (o [6]engine.Dir) { copy(o[:], ds); return o }
	wire := engine.Part{Kind: engine.Wire}
	for _, c := range []struct {
		name  string
		rules func(r *engine.Rules)
		deeds []deed
	}{
		{"lifo, reads step: the news of the last act is heard first", func(r *engine.Rules) {
			r.Order = order(engine.PosZ, engine.PosY, engine.NegX, engine.NegY, engine.PosX, engine.NegZ)
			r.News, r.Reads = engine.LIFO, engine.ByStep
		}, []deed{
			place(1, cell(2, 3, 0), engine.Part{Kind: engine.Link, Facing: engine.PosX}),
			place(2, cell(3, 4, 0), engine.Part{Kind: engine.Link, Facing: engine.NegZ}),
			place(3, cell(2, 4, 0), engine.Part{Kind: engine.Link, Facing: engine.NegZ}),
			{do: doFire, part: 3, firing: engine.Firing{Steps: 1, Late: true}},
			run,
		}},
		{"reads step: the last act is taken away before its turn", func(r *engine.Rules) { r.Reads = engine.ByStep }, []deed{
			place(1, cell(3, 0, 3), engine.Part{Kind: engine.Link, Facing: engine.NegX, Out: true}),
			place(2, cell(3, 0, 4), engine.Part{Kind: engine.Link, Facing: engine.NegX, Out: true}),
			place(3, cell(3, 0, 5), engine.Part{Kind: engine.Link, Facing: engine.NegX, Out: true}),
			{do: doFire, part: 2},
			turns(3),
			{do: doRemove, part: 1},
			{do: doRemove, part: 3},
			run,
		}},
		{"a part of a kind that conducts is placed beside a feed, and its far pads come with it", nil, []deed{
			place(1, cell(-2, 2, 0), engine.Part{Kind: engine.Battery}),
			place(2, cell(-3, 2, 0), engine.Part{Kind: engine.Told, Facing: engine.NegY, Spec: randomKind(236424).spec()}),
			turns(3),
		}},
		{"falling edges of one step come in the order given", nil, []deed{
			{do: doFire, cell: cell(2, 1, 0), firing: engine.Firing{Steps: 3, Late: true}, at: 2},
			{do: doFire, cell: cell(5, 1, 1), firing: engine.Firing{Steps: 3, Ticks: 1, Late: true}},
			{do: doFire, cell: cell(7, 1, 0), firing: engine.Firing{Steps: 3}, at: 2},
			{do: doFire, cell: cell(8, 1, 0), firing: engine.Firing{Steps: 3, Ticks: 1}},
			run,
		}},
		{"a latch is removed", nil, []deed{
			place(1, cell(8, 0, 0), engine.Part{Kind: engine.Gate, Facing: engine.NegX, Op: engine.Latch}),
			{do: doRemove, part: 1},
			run,
		}},
		{"a cell is fired in front of a forced delay that is on", nil, []deed{
			place(1, cell(1, 0, 0), engine.Part{Kind: engine.Delay, Facing: engine.PosZ, On: true}),
			{do: doFire, part: 1, firing: engine.Firing{Steps: 1}},
			turns(1),
			{do: doFire, cell: cell(1, 0, 1)},
			run,
		}},
		{"a part on the shelf is fired, and taken away before and while it is forced", nil, []deed{
			{do: doShelve, part: 1, spec: engine.Part{Kind: engine.Lamp}},
			{do: doShelve, part: 2, spec: engine.Part{Kind: engine.Lamp}},
			{do: doFire, part: 1, firing: engine.Firing{Steps: 1}},
			{do: doFire, part: 2, firing: engine.Firing{Steps: 1}},
			{do: doRemove, part: 1},
			turns(2),
			{do: doRemove, part: 2},
			run,
		}},
		{"reach falls below what a meter shows", nil, []deed{
			place(1, cell(0, 0, 0), engine.Part{Kind: engine.Tray, Tokens: 3, Room: 3}),
			place(2, cell(1, 0, 0), engine.Part{Kind: engine.Meter}),
			place(3, cell(2, 0, 0), wire),
			place(4, cell(3, 0, 0), wire),
			{do: doNudge, part: 2},
			run,
			{do: doRules, rules: func() engine.Rules { r := engine.DefaultRules(); r.Reach = 2; return r }()},
			{do: doFire, cell: cell(1, 1, 0), firing: engine.Firing{Steps: 1}},
			run,
		}},
		{"conductors that the walk does not reach tell in the order first used", nil, []deed{
			place(1, cell(3, 1, 0), wire), place(2, cell(3, 0, 0), wire), place(3, cell(3, -1, 0), wire),
			place(4, cell(6, 0, 0), engine.Part{Kind: engine.Link, Facing: engine.PosZ, Out: true}),
			place(5, cell(6, -1, 0), engine.Part{Kind: engine.Link, Facing: engine.PosZ, Out: true}),
			place(6, cell(8, 0, 0), wire), place(7, cell(8, -1, 0), wire),
			place(8, cell(8, -2, 0), wire), place(9, cell(8, -3, 0), wire),
			{do: doPatch, part: 1, to: 7, cord: engine.Cord{Power: true, News: true, Invert: true}},
			{do: doPatch, part: 5, to: 3, cord: engine.Cord{Power: true, News: true}},
			{do: doPatch, part: 7, to: 3, cord: engine.Cord{Power: true, News: true}},
			{do: doPatch, part: 6, to: 9, cord: engine.Cord{Power: true, News: true}},
			{do: doFire, cell: cell(6, 0, 1)},
			run,
		}},
		{"a wire that turns itself round is refused", nil, []deed{
			place(1, cell(0, 0, 0), wire),
			{do: doPatch, part: 1, to: 1, cord: engine.Cord{Power: true, News: true, Invert: true}},
			place(2, cell(1, 0, 0), engine.Part{Kind: engine.Battery}),
			{do: doPatch, part: 1, to: 1, cord: engine.Cord{Power: true, News: true, Invert: true}},
			{do: doRemove, part: 2},
			run,
		}},
		{"a key is removed and another put in its place before it is pressed", nil, []deed{
			place(1, cell(0, 0, 0), engine.Part{Kind: engine.Key}),
			{do: doPress, part: 1},
			{do: doRemove, part: 1},
			place(2, cell(0, 0, 0), engine.Part{Kind: engine.Key}),
			run,
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			rules := engine.DefaultRules()
			if c.rules != nil {
				c.rules(&rules)
			}
			for _, blind := range []bool{false, true} {
				if err := newPair(rules, blind).play(c.deeds); err != nil {
					t.Errorf("unrecorded %t: %v\n%s", blind, err, goBench(rules, c.deeds))
				}
			}
		})
	}
}
