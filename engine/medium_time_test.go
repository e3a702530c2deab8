package engine_test

import (
	"context"
	"testing"

	"pulsewright/engine"
)

func TestTime(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "an act caused by something at step s happens at step s+1",
			bench: `
				    battery (-1,-2)
				    wire (0,-2)..(3,-2)
				l0: link (0,0) +y
				l1: link (1,0) +y
				l2: link (2,0) +y
				l3: link (3,0) +y`,
			acts: `nudge l0`,
			log: `
				1.0.0 l0 nudged
				1.1.0 l0 out < l0 nudged
				1.2.0 l1 out < l0 out
				1.3.0 l2 out < l1 out
				1.4.0 l3 out < l2 out`,
		},
		{
			says: "acts of one step take their turns in the order in which they were queued",
			bench: `
				k:  key (0,0)
				mz: link (0,0,-1) -z
				pz: link (0,0,1) +z
				my: link (0,-1) -y
				py: link (0,1) +y
				mx: link (-1,0) -x
				px: link (1,0) +x`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 px out
				1.1.1 mx out
				1.1.2 py out
				1.1.3 my out
				1.1.4 pz out
				1.1.5 mz out`,
		},
		{
			says: "acts queued meanwhile belong to the step after the one that queued them",
			bench: `
				k:  key
				a1: gate buf
				a2: gate buf
				a3: gate buf
				b1: gate buf
				b2: gate buf
				    cord k a1
				    cord k b1
				    cord a1 a2
				    cord a1 a3
				    cord b1 b2`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 a1 on
				1.1.1 b1 on
				1.2.0 a2 on
				1.2.1 a3 on
				1.2.2 b2 on`,
		},
		{
			says: "zero-step reactions happen inside the turn that caused them",
			bench: `
				k: key (0,0)
				w: wire (1,0)
				a: lamp (2,0)
				r: reed (0,1) +y`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 w live < k on
				1.0.0 r on < k on
				1.0.0 a lit < w live`,
		},
		{
			says: "step 0: timers in the order in which they were set; a stimulus is a timer (the stimulus was set first)",
			bench: `
				k: key
				b: key
				d: delay ticks=1
				   cord k d`,
			acts: `
				press k
				press b @2`,
			log: `
				1.0.0 k on
				2.0.0 b on
				2.0.1 d on < k on`,
		},
		{
			says: "step 0: timers in the order in which they were set; a stimulus is a timer (the delay was set first)",
			bench: `
				k: key
				b: key
				d: delay ticks=1
				   cord k d`,
			acts: `
				press k
				run 1
				press b`,
			log: `
				1.0.0 k on
				2.0.0 d on
				2.0.1 b on`,
		},
		{
			says: "after each timer all its news is delivered",
			bench: `
				j: key (0,0)
				k: key (0,5)
				a: lamp (1,0)
				b: lamp (1,5)`,
			acts: `
				press j
				press k`,
			log: `
				1.0.0 j on
				1.0.0 a lit
				1.0.1 k on
				1.0.1 b lit`,
		},
		{
			says: "the width of a pulse is counted in steps, also where nothing else happens in them",
			bench: `
				a: lamp (1,0)`,
			acts: `fire (0,0) steps=7`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.0 a lit < cell (0, 0) forced
				1.7.0 cell (0, 0) freed
				1.7.0 a dark < cell (0, 0) freed`,
		},
		{
			says: "a pulse of zero steps exists: it rises and falls in one step, at different moments",
			bench: `
				a: lamp (1,0)`,
			acts: `fire (0,0)`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.0 a lit
				1.0.1 cell (0, 0) freed
				1.0.1 a dark`,
		},
		{
			says: "the tick ends when the queue is empty and no stimulus has an edge left in it; then the next tick that has a timer",
			bench: `
				k: key hold=900
				g: gate buf
				   cord k g`,
			acts: `
				press k
				fire (5,5) steps=3`,
			log: `
				1.0.0 k on
				1.0.1 cell (5, 5) forced
				1.1.0 g on
				1.3.0 cell (5, 5) freed
				901.0.0 k off
				901.1.0 g off`,
		},
	})
}

// TestQuietTicksCostNothing: ticks in between are quiet; a run to quiet stays at the last tick
// that had anything to do, and counts only turns.
func TestQuietTicksCostNothing(t *testing.T) {
	b := sketch(t, `
		k: key
		d: delay transport ticks=200000000
		   cord k d`)
	if !b.Quiet() {
		t.Error("a fresh bench is not quiet")
	}
	if err := b.Press(part(t, b, "k"), 0); err != nil {
		t.Fatal(err)
	}
	if err := b.Run(context.Background(), engine.Budget{Ticks: 300_000_000}); err != nil {
		t.Fatal(err)
	}
	if got, want := b.Now(), (engine.Instant{Tick: 200_000_001}); got != want || b.Turns() != 2 || !b.Quiet() {
		t.Errorf("at %v after %d turns, want %v after 2", got, b.Turns(), want)
	}
	if err := b.RunTicks(context.Background(), 5, engine.Budget{}); err != nil {
		t.Fatal(err)
	}
	if got := b.Now().Tick; got != 200_000_006 {
		t.Errorf("5 ticks later it is tick %d", got)
	}
}

// TestTurnByTurn: the turn is the smallest piece of time.
func TestTurnByTurn(t *testing.T) {
	b := sketch(t, `
		k: key (0,0)
		l: link (1,0) +x
		m: link (-1,0) -x`)
	if err := b.Press(part(t, b, "k"), 0); err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"1.0.0", "1.1.0", "1.1.1"} {
		ok, err := b.Turn()
		if !ok || err != nil || b.Now().String() != want || b.Turns() != int64(i+1) {
			t.Errorf("turn %d: at %v (%v, %v), want %s", i+1, b.Now(), ok, err, want)
		}
	}
	if ok, err := b.Turn(); ok || err != nil {
		t.Errorf("a fourth turn: %v, %v", ok, err)
	}
}

// TestStepByStep: Step runs what is left of a step.
func TestStepByStep(t *testing.T) {
	b := sketch(t, `
		k: key (0,0)
		l: link (1,0) +x
		m: link (-1,0) -x
		n: link (2,0) +x`) // n's far pad is the key, and l tells it
	if err := b.Press(part(t, b, "k"), 0); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Turn(); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Turn(); err != nil { // l, of l and m
		t.Fatal(err)
	}
	for _, want := range []string{"1.1.1", "1.2.0"} {
		if ok, err := b.Step(context.Background(), engine.Budget{}); !ok || err != nil || b.Now().String() != want {
			t.Errorf("at %v (%v, %v), want %s", b.Now(), ok, err, want)
		}
	}
	if ok, _ := b.Step(context.Background(), engine.Budget{}); ok {
		t.Error("there is a step after the last")
	}
}
