package engine_test

import "testing"

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
			says: "the pad of delay, oneshot, echo and meter is their back",
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

// TestPosesAreSilent: placing and removing a part or posing its state tells nobody; levels settle
// silently.
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
