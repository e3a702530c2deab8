package engine_test

import "testing"

func TestOneshot(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "told with live input while off: on in zero steps, off after ticks; a lasting input gives one pulse",
			bench: `
				k: key (-1,0)
				o: oneshot (0,0) +x ticks=3
				a: lamp (1,0)`,
			acts: `
				press k
				nudge o @8`,
			log: `
				1.0.0 k on
				1.0.0 o on < k on
				1.0.0 a lit < o on
				4.0.0 o off < o on
				4.0.0 a dark
				8.0.0 o nudged`,
		},
		{
			says: "rearms once it has been told with a dead input",
			bench: `
				k: key
				o: oneshot ticks=2
				   cord k o`,
			acts: `
				press k
				release k @6
				press k @7`,
			log: `
				1.0.0 k on
				1.0.0 o on
				3.0.0 o off
				6.0.0 k off
				7.0.0 k on
				7.0.0 o on
				9.0.0 o off`,
		},
		{
			says: "or has gone off and its input is dead; not retriggered while on",
			bench: `
				b: battery (-1,2)
				c: key (-1,0)
				o: oneshot (0,0) +x ticks=4
				p: oneshot ticks=4
				k: key
				   cord k p`,
			acts: `
				press c
				release c @2
				press k
				release k @3
				press k @6`,
			log: `
				1.0.0 c on
				1.0.0 o on
				1.0.1 k on
				1.0.1 p on
				2.0.0 c off
				3.0.0 k off
				5.0.0 o off
				5.0.1 p off
				6.0.0 k on
				6.0.0 p on
				10.0.0 p off`,
		},
		{
			says: "not retriggered while on, even if the input has been dead meanwhile",
			bench: `
				k: key
				o: oneshot ticks=4
				   cord k o`,
			acts: `
				press k
				release k @2
				press k @3
				nudge o @7`,
			log: `
				1.0.0 k on
				1.0.0 o on
				2.0.0 k off
				3.0.0 k on
				5.0.0 o off < o on
				7.0.0 o nudged
				7.0.0 o on < o nudged
				11.0.0 o off`,
		},
		{
			says: "it looks at its input itself when it goes off: dead, though nobody told it, it is ready",
			bench: `
				k: key (0,0,5)
				o: oneshot (0,0) +x pads=(0,0,5) ticks=3`,
			acts: `
				press k
				nudge o
				release k @2
				press k @5
				nudge o @5
				nudge o @9`,
			log: `
				1.0.0 k on
				1.0.1 o nudged
				1.0.1 o on
				2.0.0 k off
				4.0.0 o off
				5.0.0 k on
				5.0.1 o nudged
				5.0.1 o on
				8.0.0 o off
				9.0.0 o nudged`,
		},
		{
			says: "a pulse of zero steps sets it off",
			bench: `
				o: oneshot (0,0) +x ticks=2`,
			acts: `fire (-1,0)`,
			log: `
				1.0.0 cell (-1, 0) forced
				1.0.0 o on
				1.0.1 cell (-1, 0) freed
				3.0.0 o off`,
		},
	})
}

func TestEcho(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "one tick after it hears, on for one tick; it needs no power",
			bench: `
				l: link (-1,0) -x pads=(-2,0)
				   battery (-3,0)
				s: echo (0,0) +x
				a: lamp (1,0)`,
			acts: `nudge l`,
			log: `
				1.0.0 l nudged
				1.1.0 l out
				2.0.0 s on < l out
				2.0.0 a lit < s on
				3.0.0 s off < s on
				3.0.0 a dark`,
		},
		{
			says: "hears only from its back",
			bench: `
				j: key (0,1)
				k: key (1,0)
				s: echo (0,0) +x
				b: key (-1,0)`,
			acts: `
				press j
				press k
				press b @5`,
			log: `
				1.0.0 j on
				1.0.1 k on
				5.0.0 b on
				6.0.0 s on < b on
				7.0.0 s off`,
		},
		{
			says: "one timer at a time",
			bench: `
				k: key (-1,0)
				s: echo (0,0) +x`,
			acts: `
				press k
				release k @2
				press k @3
				release k @4`,
			log: `
				1.0.0 k on
				2.0.0 k off
				2.0.1 s on < k on
				3.0.0 k on
				3.0.1 s off < s on
				4.0.0 k off
				5.0.0 s on < k off
				6.0.0 s off`,
		},
		{
			says: "a cord is heard too, and so is a nudge of its own",
			bench: `
				k: key
				s: echo (0,0) +x
				r: echo (5,0) +x
				   cord k s`,
			acts: `
				press k
				nudge r @4`,
			log: `
				1.0.0 k on
				2.0.0 s on
				3.0.0 s off
				4.0.0 r nudged
				5.0.0 r on
				6.0.0 r off`,
		},
	})
}
