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

// TestLevels: a conductor's level is the distance to the nearest feed taken from reach, whatever comes or goes.
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

func TestPads(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "a change at a far pad is not heard there: that is how a part gets armed; the next news sets it off",
			bench: `
				k: key (0,-2)
				l: link (0,0) +y`,
			acts: `
				press k
				nudge l @2
				release k @3`,
			log: `
				1.0.0 k on
				2.0.0 l nudged
				2.1.0 l out < l nudged
				3.0.0 k off`,
			armed: "l",
		},
		{
			says: "the far pad of shuttle, link and reed is two cells behind, of a bucket two below; far= turns it",
			bench: `
				b1: battery (0,-2)
				l:  link (0,0) +y
				b2: battery (3,-2)
				r:  reed (3,0) +y
				b3: battery (6,0,2)
				m:  link (6,0) +y far=+z
				b4: battery (9,0,-2)
				c:  bucket (9,0) +x tokens=1
				d:  bucket (10,0) +x`,
			acts: `
				nudge l
				nudge r
				nudge m
				nudge c`,
			log: `
				1.0.0 l nudged
				1.0.1 r nudged
				1.0.1 r on
				1.0.2 m nudged
				1.0.3 c nudged
				1.0.3 c passes
				1.1.0 l out
				1.1.1 m out`,
		},
		{
			says: "the five neighbours that are not its front are pads, the front is none",
			bench: `
				k: key (0,1)
				l: link (0,0) +y
				m: link (1,1) +y`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 m out`,
		},
		{
			says: "a script may give other pads, as offsets",
			bench: `
				k: key (3,0)
				l: link (0,0) +y pads=(3,0);(0,0,2)
				c: key (0,-1)`,
			acts: `
				press c
				press k @2
				nudge l @3`,
			log: `
				1.0.0 c on
				2.0.0 k on
				3.0.0 l nudged
				3.1.0 l out`,
		},
		{
			says: "the pad of delay, oneshot, spotter and meter is their back",
			bench: `
				side: key (0,1)
				d:    delay (0,0) +x
				o:    oneshot (1,1) +y
				back: key (-1,0)`,
			acts: `
				press side
				press back @2`,
			log: `
				1.0.0 side on
				2.0.0 back on
				3.0.0 d on < back on`,
		},
		{
			says: "a part whose own cell is forced reads live, and is not told by that",
			bench: `
				l: link (0,0) +x`,
			acts: `
				fire l ticks=2
				nudge l`,
			log: `
				1.0.0 l forced
				1.0.1 l nudged
				1.1.0 l out < l nudged
				3.0.0 l freed`,
			armed: "l",
		},
		{
			says: "of a gate's five pads only cells holding something that can feed count as inputs",
			bench: `
				j: key (-1,0)
				k: key (0,-1)
				   jack (0,1)
				   lamp (0,0,1)
				   link (0,0,-1) -z
				g: gate nor (0,0) +x
				h: gate and (0,3) +x
				m: key (-1,3)
				n: key (0,4)
				   lamp (0,2)
				   link (0,3,1) +z`,
			acts: `
				press m
				press n @2
				release m @3`,
			log: `
				1.0.0 m on
				2.0.0 n on
				2.1.0 h on
				3.0.0 m off
				3.1.0 h off`,
			armed: "g",
		},
	})
}

// TestPosesAreSilent: placing and removing a part or posing its state tells nobody; levels settle silently.
func TestPosesAreSilent(t *testing.T) {
	b := sketch(t, `
		l: link (0,0) +y
		a: lamp (1,1)
		w: wire (0,-1)
		b: battery (1,-1)`)
	for _, name := range []string{"l", "w"} {
		if s := b.State(part(t, b, name)); !s.Powered && name == "l" || name == "w" && s.Level != 24 {
			t.Errorf("%s is %+v", name, s)
		}
	}
	if !b.Quiet() || b.EventCount() != 0 || !b.State(part(t, b, "l")).Armed {
		t.Errorf("placing told somebody: %s", story(b))
	}
	if err := b.Remove(part(t, b, "b")); err != nil {
		t.Fatal(err)
	}
	if s := b.State(part(t, b, "w")); s.Level != 0 || s.On || !b.Quiet() || b.EventCount() != 0 {
		t.Errorf("removing told somebody, or left the wire at level %d: %s", s.Level, story(b))
	}
}
