package engine_test

import (
	"fmt"
	"math/bits"
	"testing"

	"pulsewright/engine"
)

// TestGateOps nudges a gate of each kind with every pattern on one to four inputs, in either
// state.
func TestGateOps(t *testing.T) {
	ops := map[engine.Op]func(live, inputs int, pattern uint, on bool) bool{
		engine.Buf:  func(live, _ int, _ uint, _ bool) bool { return live > 0 },
		engine.Not:  func(live, _ int, _ uint, _ bool) bool { return live == 0 },
		engine.And:  func(live, n int, _ uint, _ bool) bool { return live == n },
		engine.Or:   func(live, _ int, _ uint, _ bool) bool { return live > 0 },
		engine.Nand: func(live, n int, _ uint, _ bool) bool { return live != n },
		engine.Nor:  func(live, _ int, _ uint, _ bool) bool { return live == 0 },
		engine.Xor:  func(live, _ int, _ uint, _ bool) bool { return live%2 == 1 },
		engine.Xnor: func(live, _ int, _ uint, _ bool) bool { return live%2 == 0 },
		engine.Maj:  func(live, n int, _ uint, _ bool) bool { return 2*live > n },
		engine.Hold: func(live, n int, _ uint, on bool) bool { return live == n || live > 0 && on },
		engine.Latch: func(_, n int, p uint, on bool) bool {
			return p&1 == 1 || on && (n < 2 || p>>1&1 == 0) // the first sets, the second resets, set wins
		},
	}
	if len(ops) != len(engine.Ops()) {
		t.Fatalf("%d ops tabled, the engine has %d", len(ops), len(engine.Ops()))
	}
	for op, want := range ops {
		for n := 1; n <= 4; n++ {
			for pattern := range uint(1) << n {
				for _, on := range []bool{false, true} {
					b := engine.New(engine.DefaultRules())
					g, err := b.Shelve(engine.Part{Kind: engine.Gate, Op: op, On: on})
					if err != nil {
						t.Fatal(err)
					}
					for i := range n {
						k, _ := b.Shelve(engine.Part{Kind: engine.Key, On: pattern>>i&1 == 1})
						if err := b.Patch(k, g, engine.Cord{Power: true, News: true}); err != nil {
							t.Fatal(err)
						}
					}
					if err := b.Nudge(engine.Target{ID: g}, false, 0); err != nil {
						t.Fatal(err)
					}
					if err := b.Run(t.Context(), engine.Budget{}); err != nil {
						t.Fatal(err)
					}
					w := want(bits.OnesCount(pattern), n, pattern, on)
					if got := b.State(g).On; got != w {
						t.Errorf("%v, inputs %0*b (the last is the first), state %v: %v, want %v", engine.Ops()[op], n, pattern, on, got, w)
					}
					if acts := b.Counters().Acts; acts != int64(bit(w != on)) {
						t.Errorf("%v, inputs %0*b, state %v: %d acts", engine.Ops()[op], n, pattern, on, acts)
					}
				}
			}
		}
	}
}

func TestGate(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "queued when told with wanted ≠ state; it looks again at its turn, and lapses if that is over",
			bench: `
				k: key
				g: gate buf
				x: gate xor
				   cord k g
				   cord k x
				   cord g x`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 g on
				1.1.1 x lapses < k on`,
		},
		{
			says: "told when it does not want to change, it does not queue, even if it will want to by its turn",
			bench: `
				k: key
				m: key on
				a: gate and
				b: gate buf
				   cord m a
				   cord k a news
				   cord k b
				   cord b a power`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 b on`,
			armed: "a",
		},
		{
			says: "ticks: told with wanted ≠ state and no timer set, a timer; when due it looks again, and flips or lapses",
			bench: `
				k: key
				g: gate buf ticks=2
				   cord k g`,
			acts: `
				press k
				release k @10
				press k @11`,
			log: `
				1.0.0 k on
				3.0.0 g on < k on
				10.0.0 k off
				11.0.0 k on
				12.0.0 g lapses < k off`,
		},
		{
			says: "forced: wanted on, whatever its inputs",
			bench: `
				g: gate and (0,0) +x
				k: key (-1,0)`,
			acts: `
				fire g ticks=3
				nudge g
				press k @2
				release k @3
				nudge g @5`,
			log: `
				1.0.0 g forced
				1.0.1 g nudged
				1.1.0 g on < g nudged
				2.0.0 k on
				3.0.0 k off
				4.0.0 g freed
				5.0.0 g nudged
				5.1.0 g off`,
		},
		{
			says: "inputs count in the order pads, then cords: a latch by its first and second",
			bench: `
				s: key (-1,0)
				r: key (0,1)
				c: key
				g: gate latch (0,0) +x
				h: gate latch (5,0) +x pads=(-1,0)
				t: key (4,0)
				   cord c g
				   cord c h`,
			acts: `
				press s
				release s @2
				press c @3
				press r @4
				press t @5
				release t @6`,
			// neighbour order: -x before +y; for h the cord resets, which t overrides
			log: `
				1.0.0 s on
				1.1.0 g on
				2.0.0 s off
				3.0.0 c on
				4.0.0 r on
				4.1.0 g off
				5.0.0 t on
				5.1.0 h on
				6.0.0 t off
				6.1.0 h off`,
		},
	})
}

// TestGateInputOrder: default pads count in neighbour order, so that a latch depends on the rule.
func TestGateInputOrder(t *testing.T) {
	for order, want := range map[string]bool{
		"+x,-x,+y,-y,+z,-z": true,  // s is the first pad
		"+y,-y,+z,-z,+x,-x": false, // r is
	} {
		b := sketch(t, fmt.Sprintf(`
			rules order=%s
			s: key (-1,0)
			r: key (0,1)
			g: gate latch (0,0) +x`, order))
		do(t, b, "press s")
		if got := b.State(part(t, b, "g")).On; got != want {
			t.Errorf("order %s: the latch is on: %v, want %v", order, got, want)
		}
	}
}
