package engine_test

import (
	"testing"

	"pulsewright/engine"
)

func TestBucket(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "told while fed: passes its token at once to the holder in front, if that has room; passing tells nobody",
			bench: `
				k: key (0,1)
				a: bucket (0,0) +x tokens=1
				b: bucket (1,0) +x
				   battery (1,1,4)
				l: link (1,1) -y pads=(0,0,4)`,
			acts: `
				press k
				nudge a @2`,
			log: `
				1.0.0 k on
				1.0.0 a passes < k on
				1.1.0 l out < k on
				2.0.0 a nudged`,
		},
		{
			says: "a bucket's room is 1",
			bench: `
				k: key (0,1)
				a: bucket (0,0) +x tokens=1
				b: bucket (1,0) +x tokens=1`,
			acts: `press k`,
			log:  `1.0.0 k on`,
		},
		{
			says: "told while unfed: a timer of drop ticks; when due, the token goes into the holder under it",
			bench: `
				a: bucket (0,0,1) +x tokens=1 drop=3
				t: tray (0,0)
				b: lamp (1,0)`,
			acts: `nudge a`,
			log: `
				1.0.0 a nudged
				4.0.0 a drops < a nudged
				4.0.0 b lit < a drops`,
		},
		{
			says: "if still unfed: fed when due, it keeps its token",
			bench: `
				k: key (0,1,1)
				a: bucket (0,0,1) +x tokens=1 drop=3
				t: tray (0,0)`,
			acts: `
				nudge a
				press k @4`,
			log: `
				1.0.0 a nudged
				4.0.0 k on`,
		},
		{
			says: "no room under it: it keeps its token, until told again",
			bench: `
				a: bucket (0,0,1) +x tokens=1 far=+z
				c: bucket (0,0) +x tokens=1
				u: tray (0,0,-1)`,
			acts: `
				nudge a
				nudge c @4
				nudge a @6`,
			log: `
				1.0.0 a nudged
				4.0.0 c nudged
				5.0.0 c drops
				6.0.0 a nudged
				7.0.0 a drops`,
		},
		{
			says: "a tray that holds a token feeds the bucket above; emptied, it takes the next one",
			bench: `
				a: bucket (0,0,1) +x tokens=1
				t: tray (0,0) tokens=1 keep=3`,
			acts: `nudge a`,
			log: `
				1.0.0 a nudged
				3.0.0 t consumes
				4.0.0 a drops < t consumes
				7.0.0 t consumes < a drops`,
		},
		{
			says: "the token rides a row of buckets as far as each is told while the row is fed",
			bench: `
				   battery (0,0,-9)
				   wire (0,0,-8)
				b0: bucket (0,0) +x tokens=1 pads=(0,0,-8)
				b1: bucket (1,0) +x pads=(-1,0,-8)
				b2: bucket (2,0) +x pads=(-2,0,-8)
				b3: bucket (3,0) +x pads=(-3,0,-8)`,
			acts: `
				nudge b0
				nudge b1 @2
				nudge b3 @2
				nudge b2 @3`,
			log: `
				1.0.0 b0 nudged
				1.0.0 b0 passes
				2.0.0 b1 nudged
				2.0.0 b1 passes
				2.0.1 b3 nudged
				3.0.0 b2 nudged
				3.0.0 b2 passes`,
		},
	})
}

func TestTray(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "a feed while it holds any; its first token and its last leaving are changes at its cell, the others none",
			bench: `
				k: key (-1,-1)
				a: bucket (-1,0) +x tokens=1
				t: tray (0,0) room=2 tokens=1 keep=5
				b: lamp (0,1) on
				   battery (1,0,5)
				l: link (1,0) +x pads=(0,0,5)`, // armed, and told by the tray alone
			acts: `
				press k @2`,
			log: `
				2.0.0 k on
				2.0.0 a passes
				5.0.0 t consumes
				7.0.0 t consumes < a passes
				7.0.0 b dark < t consumes
				7.1.0 l out < t consumes`,
		},
		{
			says: "keep: each token is consumed so many ticks after it came; 0: never",
			bench: `
				t: tray (0,0) room=3 tokens=2 keep=4
				u: tray (5,0) room=3 tokens=2
				a: lamp (1,0) on`,
			acts: `
				run 2
				fill t tokens=3
				nudge a`,
			log: `
				3.0.0 a nudged
				6.0.0 t consumes
				6.0.1 t consumes
				6.0.2 t consumes
				6.0.2 a dark`,
		},
	})
}

func TestChute(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "unfed, a token behind and room in front: a timer in ticks; one token moves, and it looks again",
			bench: `
				t: tray (0,0) room=3 tokens=2
				c: chute (1,0) +x ticks=2
				u: tray (2,0) room=3
				a: lamp (0,1) on
				b: lamp (2,1)`,
			acts: `nudge c`,
			log: `
				1.0.0 c nudged
				3.0.0 c moves < c nudged
				3.0.0 b lit < c moves
				5.0.0 c moves < c moves
				5.0.0 a dark < c moves`,
		},
		{
			says: "a token leaves one holder before it arrives at the other",
			bench: `
				t: tray (0,0) tokens=1
				c: chute (1,0) +x
				u: tray (2,0)
				a: lamp (0,1) on
				b: lamp (2,1)`,
			acts: `nudge c`,
			log: `
				1.0.0 c nudged
				4.0.0 c moves
				4.0.0 a dark
				4.0.0 b lit`,
		},
		{
			says: "if all that still holds when due: fed, it moves nothing, and looks again when told",
			bench: `
				t: tray (0,0) tokens=1
				c: chute (1,0) +x ticks=3
				u: tray (2,0)
				k: key (1,1)`,
			acts: `
				nudge c
				press k @2
				release k @9`,
			log: `
				1.0.0 c nudged
				2.0.0 k on
				9.0.0 k off
				12.0.0 c moves < k off`,
		},
		{
			says: "looks when the tokens of the holder at its back or front change",
			bench: `
				k: key (0,2)
				a: bucket (0,1) -y tokens=1
				t: tray (0,0)
				c: chute (1,0) +x ticks=3
				u: tray (2,0) tokens=1 keep=6`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 a passes
				6.0.0 u consumes
				9.0.0 c moves < u consumes
				15.0.0 u consumes`,
		},
		{
			says: "looks when the tokens of the holder at its front change, also where that is heard by nobody else",
			bench: `
				t: tray (0,0) tokens=1
				c: chute (1,0) +x ticks=3
				u: bucket (2,0) +x tokens=1
				v: bucket (3,0) +x
				k: key (2,1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 u passes
				4.0.0 c moves < u passes`,
		},
		{
			says: "a chute in front of a bucket takes its token; no timer is set twice",
			bench: `
				b: bucket (0,0) -x tokens=1
				c: chute (1,0) +x ticks=3
				u: bucket (2,0) +x`,
			acts: `
				nudge c
				nudge c @2
				nudge c @3`,
			log: `
				1.0.0 c nudged
				2.0.0 c nudged
				3.0.0 c nudged
				4.0.0 c moves < c nudged`,
		},
	})
}

func TestMeter(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "reads the tokens at its back, feeds its front with that level",
			bench: `
				k: key (-1,1)
				a: bucket (-1,0) +x tokens=1
				t: tray (0,0) room=9 tokens=2
				m: meter (1,0) +x level=2
				   wire (2,0)..(5,0)
				b: lamp (4,1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 a passes < k on
				1.0.0 m level 3 < a passes
				1.0.0 wire (4, 0) live < m level 3
				1.0.0 b lit`,
		},
		{
			says: "posed at level 0, it stays so until it hears; at most reach",
			bench: `
				rules reach=4
				t: tray (0,0) room=9 tokens=7
				m: meter (1,0) +x
				w: wire (2,0)`,
			acts: `nudge m`,
			log: `
				1.0.0 m nudged
				1.0.0 m level 4 < m nudged
				1.0.0 w live`,
		},
		{
			says: "passing tells nobody but a meter behind which the holder stands",
			bench: `
				k: key (0,1)
				a: bucket (0,0) +x tokens=1
				b: bucket (1,0) +x
				m: meter (0,0,1) +z level=1
				n: meter (1,0,1) +z
				o: meter (1,-1) +y`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 a passes
				1.0.0 m level 0
				1.0.0 n level 1`,
		},
		{
			says: "a holder can be loaded with any number for this",
			bench: `
				t: tray (0,0) room=1000
				m: meter (1,0) +x`,
			acts: `
				fill t tokens=17
				nudge m
				run
				fill t tokens=0
				nudge m`,
			log: `
				1.0.0 m nudged
				1.0.0 m level 17
				2.0.0 m nudged
				2.0.0 m level 0`,
		},
	})
}

// TestBucketTimer: told again while its timer is set, a bucket sets no second one.
func TestBucketTimer(t *testing.T) {
	b := sketch(t, `
		a: bucket (0,0) +x tokens=1 drop=5`)
	do(t, b, `
		nudge a
		nudge a
		nudge a @3`)
	if got := b.Counters().Timers; got != 1 {
		t.Errorf("%d timers come due, want 1", got)
	}
}

// TestRoom: a holder is never overfilled.
func TestRoom(t *testing.T) {
	b := sketch(t, `
		b: bucket (0,0) +x
		t: tray (5,0) room=3`)
	for name, n := range map[string]int{"b": 2, "t": 4} {
		if err := b.Fill(part(t, b, name), n); err == nil {
			t.Errorf("%d tokens go into %s", n, name)
		}
	}
	if err := b.Fill(part(t, b, "t"), 3); err != nil {
		t.Error(err)
	}
	if got := b.State(part(t, b, "t")); got.Tokens != 3 || !got.On {
		t.Errorf("the tray is %+v", got)
	}
	if _, err := b.Place(engine.Cell{X: 9}, engine.Part{Kind: engine.Bucket, Tokens: 2}); err == nil {
		t.Error("a bucket is placed with two tokens")
	}
}
