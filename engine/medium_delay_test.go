package engine_test

import "testing"

func TestDelay(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "stretch: each output state lasts at least ticks",
			bench: `
				k: key
				d: delay ticks=3
				   cord k d`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				2.0.0 k off
				4.0.0 d on < k on
				7.0.0 d off < d on`,
		},
		{
			says: "stretch: told, input ≠ output and no timer set; when due the output flips, whatever the input is then",
			bench: `
				k: key
				d: delay ticks=3
				   cord k d`,
			acts: `
				press k
				release k @2
				press k @3
				release k @20`,
			log: `
				1.0.0 k on
				2.0.0 k off
				3.0.0 k on
				4.0.0 d on < k on
				20.0.0 k off
				23.0.0 d off < k off`,
		},
		{
			says: "transport: every input edge is repeated ticks later",
			bench: `
				k: key
				d: delay ticks=3 transport
				   cord k d`,
			acts: `
				press k
				release k @2
				press k @3
				release k @5`,
			log: `
				1.0.0 k on
				2.0.0 k off
				3.0.0 k on
				4.0.0 d on
				5.0.0 k off
				5.0.1 d off
				6.0.0 d on
				8.0.0 d off`,
		},
		{
			says: "transport: edges inside one tick keep their order, and come out in the same step",
			bench: `
				d: delay (0,0) +x ticks=2 transport`,
			acts: `fire (-1,0) steps=5`,
			log: `
				1.0.0 cell (-1, 0) forced
				1.5.0 cell (-1, 0) freed
				3.0.0 d on < cell (-1, 0) forced
				3.0.1 d off < cell (-1, 0) freed`,
		},
		{
			says: "a transport delay, when placed, has taken over its output",
			bench: `
				k: key on
				d: delay transport
				e: delay transport on
				   cord k d
				   cord k e`,
			acts: `
				nudge d
				nudge e`,
			log: `
				1.0.0 d nudged
				1.0.1 e nudged
				2.0.0 d on < d nudged`,
		},
		{
			says: "inertial: a timer, cancelled if the input returns before it is due; pulses shorter than ticks vanish",
			bench: `
				k: key
				d: delay ticks=3 inertial
				   cord k d`,
			acts: `
				press k
				release k @3
				press k @10
				release k @13`,
			log: `
				1.0.0 k on
				3.0.0 k off
				10.0.0 k on
				13.0.0 k off
				13.0.1 d on < k on
				16.0.0 d off < k off`,
		},
		{
			says: "inertial, with a smaller reject pulses of at most reject vanish; longer ones can be on their way together",
			bench: `
				k: key
				d: delay ticks=5 reject=2 inertial
				   cord k d`,
			acts: `
				press k
				release k @3
				press k @10
				release k @13`,
			log: `
				1.0.0 k on
				3.0.0 k off
				10.0.0 k on
				13.0.0 k off
				15.0.0 d on < k on
				18.0.0 d off < k off`,
		},
		{
			says: "a delay of one tick in a loop with itself",
			bench: `
				e: key
				g: gate nor
				d: delay ticks=2
				x: key
				   cord e g
				   cord d g
				   cord g d`,
			acts: `
				nudge g
				press e @6`,
			log: `
				1.0.0 g nudged
				1.1.0 g on
				3.0.0 d on < g on
				3.1.0 g off < d on
				5.0.0 d off < g off
				5.1.0 g on
				6.0.0 e on
				6.1.0 g off
				7.0.0 d on < g on
				9.0.0 d off < d on`,
		},
	})
}
