package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"pulsewright/engine"
)

func TestStimuli(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "the falling edge comes before the first turn of its step",
			bench: `
				l: link (1,0) +x
				m: link (2,0) +x pads=(-2,0)`, // reads the fired cell, hears l
			acts: `fire (0,0) steps=2`,
			log: `
				1.0.0 cell (0, 0) forced
				1.1.0 l out
				1.2.0 cell (0, 0) freed
				1.2.1 m lapses < l out
				1.3.0 l home < cell (0, 0) freed`,
		},
		{
			says: "or after its last turn: fall=late",
			bench: `
				l: link (1,0) +x
				m: link (2,0) +x pads=(-2,0)`,
			acts: `fire (0,0) steps=2 late`,
			log: `
				1.0.0 cell (0, 0) forced
				1.1.0 l out
				1.2.0 m out < l out
				1.2.1 cell (0, 0) freed
				1.3.0 l home
				1.4.0 m home < l home`,
		},
		{
			says: "steps=0: it falls in step 0, right after the rising edge's news, before the next stimulus",
			bench: `
				a: lamp (1,0)
				k: key (5,5)`,
			acts: `
				fire (0,0)
				press k`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.0 a lit
				1.0.1 cell (0, 0) freed
				1.0.1 a dark
				1.0.2 k on`,
		},
		{
			says: "for ticks plus steps; in step 0 an early fall comes before the timers, a late one after them",
			bench: `
				k: key (5,5)`,
			acts: `
				fire (0,0) ticks=2 steps=3
				fire (0,3) ticks=2
				fire (0,6) ticks=2 late
				press k @3`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.1 cell (0, 3) forced
				1.0.2 cell (0, 6) forced
				3.0.0 cell (0, 3) freed
				3.0.1 k on
				3.0.2 cell (0, 6) freed
				3.3.0 cell (0, 0) freed`,
		},
		{
			says: "several stimuli may force one cell: only the first and the last are changes",
			bench: `
				a: lamp (1,0)`,
			acts: `
				fire (0,0) steps=2
				fire (0,0) steps=4
				fire (0,0) steps=3`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.0 a lit
				1.4.0 cell (0, 0) freed
				1.4.0 a dark`,
		},
		{
			says: "a cell freed and forced again in one tick",
			bench: `
				a: lamp (1,0)`,
			acts: `
				fire (0,0)
				fire (0,0) steps=1`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.0 a lit
				1.0.1 cell (0, 0) freed
				1.0.1 a dark
				1.0.2 cell (0, 0) forced
				1.0.2 a lit
				1.1.0 cell (0, 0) freed
				1.1.0 a dark`,
		},
		{
			says: "nudge: the part hears, with no power; it lapses if it wants nothing",
			bench: `
				l: link (0,0) +x
				b: battery (5,-2)
				m: link (5,0) +y`,
			acts: `
				nudge l
				nudge m`,
			log: `
				1.0.0 l nudged
				1.0.1 m nudged
				1.1.0 m out`,
		},
		{
			says: "nudge around: the six neighbours hear, in neighbour order",
			bench: `
				b1: battery (1,0,1)
				b2: battery (-1,0,1)
				b3: battery (0,1,1)
				mx: link (-1,0) -x
				px: link (1,0) +x
				py: link (0,1) +y`,
			acts: `nudge (0,0) around`,
			log: `
				1.0.0 cell (0, 0) nudged
				1.1.0 px out < cell (0, 0) nudged
				1.1.1 mx out
				1.1.2 py out`,
		},
		{
			says: "stimuli given at tick t take effect at tick t+1 unless a later tick is named, in the order given",
			bench: `
				j: key (0,0)
				k: key (5,5)`,
			acts: `
				press k @3
				press j
				run 1
				release j
				run
				release k
				press j @9`,
			log: `
				1.0.0 j on
				2.0.0 j off
				3.0.0 k on
				4.0.0 k off
				9.0.0 j on`,
		},
		{
			says: "several late falls in one step come in the order given, after the acts; early ones before",
			bench: `
				k: key (1,9)
				l: link (0,9) -x`,
			acts: `
				fire (0,0) steps=1 late
				press k
				fire (0,3) steps=1
				fire (0,6) steps=1 late
				fire (3,0) steps=1`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.1 k on
				1.0.2 cell (0, 3) forced
				1.0.3 cell (0, 6) forced
				1.0.4 cell (3, 0) forced
				1.1.0 cell (0, 3) freed
				1.1.1 cell (3, 0) freed
				1.1.2 l out
				1.1.3 cell (0, 0) freed
				1.1.4 cell (0, 6) freed`,
		},
		{
			says: "the order given is that of the stimuli, not that of their rises",
			bench: `
				k: key (9,9)`,
			acts: `
				fire (0,0) steps=3 late @2
				fire (5,5) ticks=1 steps=3 late
				fire (0,9) steps=2 @2
				fire (5,9) ticks=1 steps=2`,
			log: `
				1.0.0 cell (5, 5) forced
				1.0.1 cell (5, 9) forced
				2.0.0 cell (0, 0) forced
				2.0.1 cell (0, 9) forced
				2.2.0 cell (0, 9) freed
				2.2.1 cell (5, 9) freed
				2.3.0 cell (0, 0) freed
				2.3.1 cell (5, 5) freed`,
		},
		{
			says: "acts queued by an early edge belong to the next step",
			bench: `
				j: key (0,1) on
				l: link (1,0) +x
				m: link (9,0) +x
				k: key (8,0)`,
			acts: `
				fire (0,0) steps=1
				press k`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.1 k on
				1.1.0 cell (0, 0) freed
				1.1.1 l lapses
				1.1.2 m out`,
		},
	})
}

// TestWidths: a fired pulse is as wide as was asked, in ticks and steps, wherever it is seen.
func TestWidths(t *testing.T) {
	for ticks := range 3 {
		for steps := range 6 {
			b := sketch(t, `
				w: wire (1,0)
				a: lamp (2,0)`)
			do(t, b, fmt.Sprintf("fire (0,0) ticks=%d steps=%d", ticks, steps))
			var rise, fall engine.Instant
			for _, e := range b.Events(1) {
				switch e.What {
				case engine.Lit:
					rise = e.At()
				case engine.Dark:
					fall = e.At()
				}
			}
			if fall.Tick-rise.Tick != int64(ticks) || fall.Step-rise.Step != steps || !rise.Before(fall) {
				t.Errorf("ticks=%d steps=%d: lit from %v to %v", ticks, steps, rise, fall)
			}
		}
	}
}

// TestStimuliRefused: what cannot be done is said at once, and nothing is queued.
func TestStimuliRefused(t *testing.T) {
	b := sketch(t, `
		k: key (0,0)
		l: link (5,0) +x`)
	do(t, b, "press k @4")
	k, l := part(t, b, "k"), part(t, b, "l")
	far := engine.Target{Cell: engine.Cell{X: engine.Limit + 1}}
	for what, err := range map[string]error{
		"a press in the past":      b.Press(k, 2),
		"a press now":              b.Press(k, 4),
		"a release in the past":    b.Release(k, 3),
		"a press of a link":        b.Press(l, 0),
		"a release of nothing":     b.Release(0, 0),
		"a pulse of -1 steps":      b.Fire(engine.Target{ID: l}, engine.Firing{Steps: -1}),
		"a pulse of -1 ticks":      b.Fire(engine.Target{ID: l}, engine.Firing{Ticks: -1}),
		"a pulse in the past":      b.Fire(engine.Target{ID: l}, engine.Firing{At: 1}),
		"a pulse off the lattice":  b.Fire(far, engine.Firing{Steps: 1}),
		"a nudge in the past":      b.Nudge(engine.Target{ID: l}, false, 1),
		"a nudge off the lattice":  b.Nudge(far, true, 0),
		"a nudge of an unknown id": b.Nudge(engine.Target{ID: 999}, false, 0),
	} {
		if err == nil {
			t.Errorf("%s is taken", what)
		} else if strings.TrimSpace(err.Error()) == "" {
			t.Errorf("%s: the error says nothing", what)
		}
	}
	if !b.Quiet() {
		t.Error("a refused stimulus is queued")
	}
}
