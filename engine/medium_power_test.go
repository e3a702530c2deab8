package engine_test

import (
	"testing"

	"pulsewright/engine"
)

func TestFeeds(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "all-round feeds feed their six neighbours, which hear in neighbour order: a key while pressed",
			bench: `
				k:  key (0,0)
				mz: lamp (0,0,-1)
				pz: lamp (0,0,1)
				my: lamp (0,-1)
				py: lamp (0,1)
				mx: lamp (-1,0)
				px: lamp (1,0)`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.0.0 px lit
				1.0.0 mx lit
				1.0.0 py lit
				1.0.0 my lit
				1.0.0 pz lit
				1.0.0 mz lit
				2.0.0 k off
				2.0.0 px dark
				2.0.0 mx dark
				2.0.0 py dark
				2.0.0 my dark
				2.0.0 pz dark
				2.0.0 mz dark`,
		},
		{
			says: "all-round feeds: a battery; placing it tells nobody",
			bench: `
				b: battery (0,0)
				a: lamp (1,0)`,
			acts: `nudge a @3`,
			log: `
				3.0.0 a nudged
				3.0.0 a lit < a nudged`,
		},
		{
			says: "all-round feeds: a tray that holds a token, a seated feed slug, a forced cell",
			bench: `
				t: tray (0,0) tokens=1
				a: lamp (1,0)
				s: shuttle (0,5) +x feed
				b: lamp (1,6)
				c: lamp (1,10)`,
			acts: `
				nudge a
				nudge b
				fire (0,10) ticks=2`,
			log: `
				1.0.0 a nudged
				1.0.0 a lit
				1.0.1 b nudged
				1.0.1 b lit
				1.0.2 cell (0, 10) forced
				1.0.2 c lit
				3.0.0 cell (0, 10) freed
				3.0.0 c dark`,
		},
		{
			says: "front feeds, while on, feed only the cell in front",
			bench: `
				k:     key (-1,0)
				g:     gate buf (0,0) +x
				front: lamp (1,0)
				side:  lamp (0,1)
				over:  wire (0,0,1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 g on < k on
				1.1.0 front lit < g on`,
		},
		{
			says: "a pad is not live for a front feed that looks elsewhere",
			bench: `
				k: key (-1,0)
				g: gate buf (0,0) +y
				l: link (1,0) +y`,
			acts: `
				press k
				nudge l @2`,
			log: `
				1.0.0 k on
				1.1.0 g on
				2.0.0 l nudged`,
		},
	})
}

func TestConductors(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "a conductor next to a feed has level reach, the next ones one less each; live is above 0",
			bench: `
				rules reach=3
				k: key (0,0)
				   wire (1,0)..(5,0)
				a: lamp (3,1)
				b: lamp (4,1)`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.0.0 wire (1, 0) live < k on
				1.0.0 wire (2, 0) live < k on
				1.0.0 wire (3, 0) live < k on
				1.0.0 a lit < wire (3, 0) live
				2.0.0 k off
				2.0.0 wire (1, 0) dead < k off
				2.0.0 wire (2, 0) dead < k off
				2.0.0 wire (3, 0) dead < k off
				2.0.0 a dark < wire (3, 0) dead`,
		},
		{
			says: "a jack with no slug in it conducts; a plug opens it, the highest level among neighbours counts",
			bench: `
				k: key (0,0)
				   wire (1,0)
				   jack (2,0)
				   wire (3,0)
				   jack (4,0)
				   wire (5,0)
				s: shuttle (4,1) -y plug`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 wire (1, 0) live
				1.0.0 jack (2, 0) live
				1.0.0 wire (3, 0) live`,
		},
		{
			says: "changed conductors tell in breadth-first order from c, neighbours in neighbour order",
			bench: `
				k: key (0,0)
				   wire (0,1)..(0,2)
				   wire (1,0)..(3,0)
				   wire (2,1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 wire (1, 0) live
				1.0.0 wire (0, 1) live
				1.0.0 wire (2, 0) live
				1.0.0 wire (0, 2) live
				1.0.0 wire (3, 0) live
				1.0.0 wire (2, 1) live`,
		},
		{
			says: "changed conductors tell in breadth-first order, in the neighbour order of the rule",
			bench: `
				rules order=-y,+y,-z,+z,-x,+x
				k: key (0,0)
				   wire (0,1)..(0,2)
				   wire (1,0)..(3,0)
				   wire (2,1)
				   wire (2,-1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 wire (0, 1) live
				1.0.0 wire (1, 0) live
				1.0.0 wire (0, 2) live
				1.0.0 wire (2, 0) live
				1.0.0 wire (2, -1) live
				1.0.0 wire (2, 1) live
				1.0.0 wire (3, 0) live`,
		},
		{
			says: "each conductor whose level changed tells, live or not; the six neighbours of c come first",
			bench: `
				k1: key (0,0) on
				    wire (1,0)..(4,0)
				k2: key (5,0) on
				k3: key (1,3)
				l:  link (1,1) +y pads=(0,2)`, // armed by k3, told by the first wire
			acts: `
				press k3
				release k1 @2`,
			log: `
				1.0.0 k3 on
				2.0.0 k1 off
				2.1.0 l out < k1 off`,
		},
		{
			says: "first the six neighbours of c are told, then the changed conductors tell",
			bench: `
				k: key (0,0)
				   wire (1,0)
				b: link (1,1) +y
				a: link (0,0,-1) -z`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 wire (1, 0) live < k on
				1.1.0 a out < k on
				1.1.1 b out < wire (1, 0) live`,
		},
		{
			says: "a forced wire has level reach and feeds; it is a changed conductor like the others, the first of them",
			bench: `
				rules reach=3
				w: wire (0,0)
				   wire (1,0)..(5,0)`,
			acts: `fire w steps=1`,
			log: `
				1.0.0 w forced
				1.0.0 w live < w forced
				1.0.0 wire (1, 0) live < w forced
				1.0.0 wire (2, 0) live < w forced
				1.0.0 wire (3, 0) live < w forced
				1.1.0 w freed
				1.1.0 w dead < w freed
				1.1.0 wire (1, 0) dead < w freed
				1.1.0 wire (2, 0) dead < w freed
				1.1.0 wire (3, 0) dead < w freed`,
		},
		{
			says: "a live conductor feeds the neighbouring parts that are no conductors",
			bench: `
				k: key (0,0)
				w: wire (1,0)
				l: link (1,0,1) +z
				d: delay (2,0) +x
				e: delay (1,1) +x`, // e's back is (0, 1): nothing
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 w live
				1.1.0 l out
				2.0.0 d on`,
		},
	})
}

// TestLevels: a conductor's level is the distance to the nearest feed taken from reach, whatever
// comes or goes.
func TestLevels(t *testing.T) {
	b := sketch(t, `
		rules reach=5
		k1: key (0,0)
		w:  wire (1,0)..(1,0)
		    wire (2,0)..(4,0)
		k2: key (5,0)`)
	levels := func(want ...int) {
		t.Helper()
		for i, w := range want {
			if got := b.CellState(engine.Cell{X: int32(i + 1)}); got.Level != w || got.On != (w > 0) {
				t.Errorf("at %v: level of (%d, 0) is %d (live %v), want %d", b.Now(), i+1, got.Level, got.On, w)
			}
		}
	}
	levels(0, 0, 0, 0)
	do(t, b, "press k1")
	levels(5, 4, 3, 2)
	do(t, b, "press k2")
	levels(5, 4, 4, 5)
	do(t, b, "release k1")
	levels(2, 3, 4, 5)
	do(t, b, "fire w ticks=1\nrun 1")
	levels(2, 3, 4, 5)
	r := b.Rules()
	r.Reach = 2
	if err := b.SetRules(r); err != nil { // settles silently
		t.Fatal(err)
	}
	levels(0, 0, 1, 2)
}
