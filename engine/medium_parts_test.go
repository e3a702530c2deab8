package engine_test

import "testing"

func TestKey(t *testing.T) {
	showAll(t, []sentence{
		{
			says:  "on while pressed: until released",
			bench: `k: key (0,0)`,
			acts: `
				press k @2
				release k @7`,
			log: `
				2.0.0 k on
				7.0.0 k off`,
		},
		{
			says:  "on while pressed: hold ticks",
			bench: `k: key (0,0) hold=3`,
			acts:  `press k`,
			log: `
				1.0.0 k on
				4.0.0 k off < k on`,
		},
		{
			says:  "a release cancels hold",
			bench: `k: key (0,0) hold=5`,
			acts: `
				press k
				release k @2
				press k @4`,
			log: `
				1.0.0 k on
				2.0.0 k off
				4.0.0 k on
				9.0.0 k off`,
		},
		{
			says: "a press that finds nothing to do takes its turn, without an event",
			bench: `
				k: key (0,0)
				j: key (3,0)`,
			acts: `
				press k
				press k
				release j
				press j`,
			log: `
				1.0.0 k on
				1.0.3 j on`,
		},
	})
}

func TestLamp(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "lit while any pad is live",
			bench: `
				j: key (1,0)
				k: key (0,0,1)
				a: lamp (0,0)`,
			acts: `
				press j
				press k @2
				release j @3
				release k @4`,
			log: `
				1.0.0 j on
				1.0.0 a lit
				2.0.0 k on
				3.0.0 j off
				4.0.0 k off
				4.0.0 a dark`,
		},
		{
			says: "tells nobody",
			bench: `
				k: key (0,0)
				a: lamp (1,0)
				l: link (2,0) +x`, // armed by the key two cells behind, beside the lamp
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 a lit`,
			armed: "l",
		},
	})
}

func TestReed(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "wanted on: a pad is live, or within run cells along reeds that are on it meets a reed with a live pad",
			bench: `
				rules run=2
				k:  key (0,0)
				r1: reed (1,0) +y
				r2: reed (2,0) +y
				r3: reed (3,0) +y
				r4: reed (4,0) +y
				r5: reed (5,0) +y`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.0.0 r1 on < k on
				1.0.0 r2 on < r1 on
				1.0.0 r3 on < r2 on
				2.0.0 k off
				2.0.0 r1 off < k off
				2.0.0 r2 off < r1 off
				2.0.0 r3 off < r2 off`,
		},
		{
			says: "a line may run along any axis, both ways; only reeds of the same facing count",
			bench: `
				k:  key (0,0)
				u1: reed (0,0,1) +x
				u2: reed (0,0,2) +x
				u3: reed (0,0,3) +x
				m1: reed (0,-1) +z
				m2: reed (0,-2) +z
				m3: reed (0,-3) +x`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 m1 on < k on
				1.0.0 u1 on < k on
				1.0.0 m2 on < m1 on
				1.0.0 u2 on < u1 on
				1.0.0 u3 on < u2 on`,
		},
		{
			says: "through reeds that are on: the reeds between must be on, the one met need not be",
			bench: `
				b:  battery (0,-2)
				r0: reed (0,0) +y
				r1: reed (1,0) +y
				r2: reed (2,0) +y`,
			acts: `
				nudge r2
				nudge r1`,
			log: `
				1.0.0 r2 nudged
				1.0.1 r1 nudged
				1.0.1 r1 on < r1 nudged
				1.0.1 r2 on < r1 on
				1.0.1 r0 on < r1 on`,
		},
		{
			says: "reacts only when told",
			bench: `
				k: key (0,-2)
				r: reed (0,0) +y`,
			acts: `
				press k
				nudge r @2`,
			log: `
				1.0.0 k on
				2.0.0 r nudged
				2.0.0 r on`,
		},
		{
			says: "a reed line carries news, not power",
			bench: `
				k: key (0,0)
				r: reed (1,0) +y
				s: reed (2,0) +y
				a: lamp (3,0)
				b: battery (2,1,-1)
				l: link (2,1) +y pads=(0,0,-1)
				m: link (2,-1) -y`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 r on
				1.0.0 s on
				1.1.0 l out < s on`,
		},
	})
}

func TestLink(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "out and home, one step after it was told; never in transit",
			bench: `
				l: link (1,0) +x`,
			acts: `fire (0,0) steps=2`,
			log: `
				1.0.0 cell (0, 0) forced
				1.1.0 l out
				1.2.0 cell (0, 0) freed
				1.3.0 l home`,
		},
		{
			says: "at its turn it looks again: wanted = state, the act lapses",
			bench: `
				l: link (1,0) +x`,
			acts: `fire (0,0) steps=1`,
			log: `
				1.0.0 cell (0, 0) forced
				1.1.0 cell (0, 0) freed
				1.1.1 l lapses < cell (0, 0) forced`,
		},
		{
			says: "told, wanted = state: nothing is queued; told while an act is queued: nothing more",
			bench: `
				j: key (1,-1)
				k: key (0,0)
				l: link (1,0) +y`,
			acts: `
				press j
				press k
				press k @2
				nudge l @3`,
			log: `
				1.0.0 j on
				1.0.1 k on
				1.1.0 l out < j on
				3.0.0 l nudged`,
		},
	})
}
