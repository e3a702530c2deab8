package engine_test

import (
	"testing"

	"pulsewright/engine"
)

func TestCords(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "b is told after a's six neighbours, cords in the order in which they were made",
			bench: `
				k: key (0,0)
				a: gate buf
				b: gate buf
				   cord k b
				   cord k a
				l: link (0,0,-1) -z`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 l out
				1.1.1 b on
				1.1.2 a on`,
		},
		{
			says: "in breadth-first order a cord counts as one more neighbour, after the six",
			bench: `
				k: key (0,0)
				   wire (1,0)..(2,0)
				w: wire (1,1)
				v: wire
				u: wire (9,9)
				x: lamp
				   cord w v
				   cord v x
				   cord k u`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 wire (1, 0) live < k on
				1.0.0 u live < k on
				1.0.0 wire (2, 0) live < k on
				1.0.0 w live < k on
				1.0.0 v live < k on
				1.0.0 x lit < v live`,
		},
		{
			says: "power=False makes a cord that only carries news",
			bench: `
				k: key
				b: battery
				g: gate buf
				h: gate buf
				   cord b g
				   cord k g news
				   cord k h news`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 g on < k on`,
		},
		{
			says: "news=False makes a cord that only carries power",
			bench: `
				k: key
				g: gate buf
				h: gate buf
				   cord k g power
				   cord k h power`,
			acts: `
				press k
				nudge g @2`,
			log: `
				1.0.0 k on
				2.0.0 g nudged
				2.1.0 g on < g nudged`,
			armed: "h",
		},
		{
			says: "invert=True turns the reading round",
			bench: `
				k: key
				g: gate buf on
				   cord k g invert`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.1.0 g off < k on
				2.0.0 k off
				2.1.0 g on < k off`,
		},
		{
			says: "a conductor b is fed while a is on",
			bench: `
				k: key (0,5)
				w: wire (0,0)
				   wire (1,0)
				a: lamp (2,0)
				   cord k w`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.0.0 w live < k on
				1.0.0 wire (1, 0) live < k on
				1.0.0 a lit < wire (1, 0) live
				2.0.0 k off
				2.0.0 w dead
				2.0.0 wire (1, 0) dead
				2.0.0 a dark < wire (1, 0) dead`,
		},
		{
			says: "a cord is live while a is on, out, lit, live or holds a token (a lamp tells nobody else)",
			bench: `
				k: key (0,0)
				a: lamp (1,0)
				l: link (-1,0) -x
				w: wire (0,1)
				t: tray (0,0,5) tokens=1 keep=2
				ga: gate buf
				gl: gate buf
				gw: gate buf
				gt: gate buf on
				    cord a ga
				    cord l gl
				    cord w gw
				    cord t gt`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 w live < k on
				1.0.0 a lit < k on
				1.1.0 l out < k on
				1.1.1 gw on < w live
				1.1.2 ga on < a lit
				1.2.0 gl on < l out
				2.0.0 t consumes
				2.1.0 gt off < t consumes`,
		},
		{
			says: "a part on the shelf has no neighbours and no pads but its cords",
			bench: `
				k: key
				l: link
				m: link
				   cord k m`,
			acts: `
				press k
				nudge k around`,
			log: `
				1.0.0 k on
				1.0.1 k nudged
				1.1.0 m out < k on`,
		},
		{
			says: "a gate counts every cord as an input, after its pads; the same part twice counts twice",
			bench: `
				k: key (-1,0)
				c: key
				x: gate xor (0,0) +x
				y: gate xor
				z: gate maj
				   cord c x
				   cord c y
				   cord c y
				   cord c z
				   cord c z
				   cord k z`,
			acts: `
				press c
				press k @2`,
			log: `
				1.0.0 c on
				1.1.0 x on
				1.1.1 z on
				2.0.0 k on
				2.1.0 x off < k on`,
		},
	})
}

// TestCordsRefused: a chute has nothing to read, and a battery, a key or a tray neither hears nor
// conducts; a refused cord leaves the bench as it was.
func TestCordsRefused(t *testing.T) {
	b := sketch(t, `
		k: key
		b: battery
		y: tray
		c: chute
		l: link`)
	for _, c := range [][2]string{{"c", "l"}, {"l", "k"}, {"l", "b"}, {"l", "y"}} {
		if err := b.Patch(part(t, b, c[0]), part(t, b, c[1]), engine.Cord{Power: true, News: true}); err == nil {
			t.Errorf("a cord from %s to %s is taken", c[0], c[1])
		}
	}
	if n := len(b.Cords()); n != 0 {
		t.Errorf("%d cords lie on the bench", n)
	}
}
