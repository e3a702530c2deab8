package engine_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pulsewright/engine"
)

// TestNeighbourOrder: six links around a key take their turns in the order of the rule, whichever
// it is.
func TestNeighbourOrder(t *testing.T) {
	names := []string{"+x", "-x", "+y", "-y", "+z", "-z"}
	for seed := range uint64(20) {
		rand.New(rand.NewPCG(seed, 5)).Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		var bench, want strings.Builder
		fmt.Fprintf(&bench, "rules order=%s\n k: key (0,0)\n", strings.Join(names, ","))
		for d := engine.PosX; d <= engine.NegZ; d++ {
			c := d.Cell()
			fmt.Fprintf(&bench, "%v: link (%d,%d,%d) %v\n", d, c.X, c.Y, c.Z, d)
		}
		fmt.Fprintln(&want, "1.0.0 k on")
		for i, n := range names {
			fmt.Fprintf(&want, "1.1.%d %s out\n", i, n)
		}
		sentence{says: strings.Join(names, " "), bench: bench.String(), acts: "press k", log: want.String()}.show(t)
	}
}

// armedReeds are two arms of reeds, each armed by a battery above it, on either side of a key.
const armedReeds = `
	k:  key (0,0)
	    battery (1,0,1)
	    battery (2,0,1)
	    battery (-1,0,1)
	    battery (-2,0,1)
	p1: reed (1,0) +y
	p2: reed (2,0) +y
	m1: reed (-1,0) +y
	m2: reed (-2,0) +y`

func TestRules(t *testing.T) {
	showAll(t, []sentence{
		{
			says:  "news=fifo: first told, first heard",
			bench: "rules news=fifo\n" + armedReeds,
			acts:  `press k`,
			log: `
				1.0.0 k on
				1.0.0 p1 on < k on
				1.0.0 m1 on < k on
				1.0.0 p2 on < p1 on
				1.0.0 m2 on < m1 on`,
		},
		{
			says:  "news=lifo: the news of one change go on top, the first neighbour uppermost",
			bench: "rules news=lifo\n" + armedReeds,
			acts:  `press k`,
			log: `
				1.0.0 k on
				1.0.0 p1 on < k on
				1.0.0 p2 on < p1 on
				1.0.0 m1 on < k on
				1.0.0 m2 on < m1 on`,
		},
		{
			says: "news=lifo: neighbours, cords and conductors of one change are one batch",
			bench: `
				rules news=lifo
				k: key (0,0)
				a: lamp (-1,0)
				w: wire (1,0)
				b: lamp (1,-1)
				c: lamp
				   cord k c
				r: reed (0,1) +y
				   battery (0,3)
				   battery (1,2,-1)
				s: reed (0,2) +x pads=(0,1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 w live
				1.0.0 a lit
				1.0.0 r on
				1.0.0 s on < r on
				1.0.0 c lit < k on
				1.0.0 b lit < w live`,
		},
		{
			says: "reads=turn: a part sees what earlier turns of the step did",
			bench: `
				rules reads=turn
				k: key
				b: gate buf
				x: gate xor
				   cord k b
				   cord k x
				   cord b x`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 b on
				1.1.1 x lapses < k on`,
		},
		{
			says: "reads=step: all acts look before the first of them changes anything; then they change; then all their news",
			bench: `
				rules reads=step
				k: key
				b: gate buf
				x: gate xor
				l: lamp
				   cord k b
				   cord k x
				   cord b x
				   cord b l`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 b on < k on
				1.1.1 x on < k on
				1.1.1 l lit < b on
				1.2.0 x off < b on`,
		},
		{
			says: "reads=step: an edge of the step is no act: an early fall is seen, a late one is not",
			bench: `
				rules reads=step
				l: link (1,0) +x
				m: link (1,5) +x`,
			acts: `
				fire (0,0) steps=1
				fire (0,5) steps=1 late`,
			log: `
				1.0.0 cell (0, 0) forced
				1.0.1 cell (0, 5) forced
				1.1.0 cell (0, 0) freed
				1.1.1 l lapses
				1.1.2 m out
				1.1.3 cell (0, 5) freed
				1.2.0 m home`,
		},
		{
			says: "travel: ticks a slug is in transit",
			bench: `
				rules travel=7
				k: key (-1,0)
				s: shuttle (0,0) +x feed`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 s out
				8.0.0 s lands`,
		},
		{
			says: "reach: top level of a conductor",
			bench: `
				rules reach=1
				k: key (0,0)
				   wire (1,0)..(3,0)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 wire (1, 0) live`,
		},
		{
			says: "run: how far a fed reed holds others of its line; 0: not at all",
			bench: `
				rules run=0
				k: key (0,0)
				r: reed (1,0) +y
				s: reed (2,0) +y`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 r on`,
		},
	})
}

// TestDefaultRules are those of the table.
func TestDefaultRules(t *testing.T) {
	want := engine.Rules{
		Order: [6]engine.Dir{engine.PosX, engine.NegX, engine.PosY, engine.NegY, engine.PosZ, engine.NegZ},
		News:  engine.FIFO, Reads: engine.ByTurn, Travel: 2, Reach: 24, Run: 6,
	}
	if got := engine.DefaultRules(); got != want {
		t.Errorf("default rules %+v, want %+v", got, want)
	}
	b := engine.New(want)
	for _, bad := range []func(*engine.Rules){
		func(r *engine.Rules) { r.Order[0] = engine.NegZ },
		func(r *engine.Rules) { r.Travel = 0 },
		func(r *engine.Rules) { r.Reach = 0 },
		func(r *engine.Rules) { r.Run = -1 },
		func(r *engine.Rules) { r.News = 7 },
		func(r *engine.Rules) { r.Reads = 7 },
	} {
		r := rules(bad)
		if err := b.SetRules(r); err == nil || b.Rules() != want {
			t.Errorf("rules %+v are taken (%v)", r, err)
		}
	}
}
