package engine_test

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// The files reference_*_test.go hold the bench to published figures. Each test names its source,
// and how we know the numbers: read (the text itself was opened), read via (another text that
// restates it was), from memory, or run (derived again by independent programs). The traces in
// testdata/golden come from a program on the reference library of IEEE Std 1666 (SystemC 2.3.4);
// each network was also written in two other event-driven languages, with the same traces.
//
// The bench's own convention is that of the traces: an input and a delay that runs out change at
// step 0, a gate told at step s changes at step s+1, a wire costs nothing.

// networks lists the names of the networks in testdata, and fails if one is missing.
func networks(t testing.TB) []string {
	files, err := filepath.Glob("testdata/networks/*.json")
	if err != nil || len(files) != 31 {
		t.Fatalf("testdata/networks holds %d networks (%v), want 31", len(files), err)
	}
	var names []string
	for _, f := range files {
		names = append(names, strings.TrimSuffix(filepath.Base(f), ".json"))
	}
	return names
}

// TestNetworks compares whole traces: with reads="step", the evaluate and update cycle of IEEE Std
// 1666, all of them must be met.
//
// R1–R4, R9–R13, R16–R19. IEEE Std 1076-2019, 14.7.5.1 and 14.7.5.3 (if the next event time equals
// the current time, the next cycle is a delta cycle; all signals are updated before any process
// runs): read. IEEE Std 1666, scheduler of evaluation, update and delta notification phase: read
// in the reference library and via summaries of 1666-2023, 4.3.2; the clause's wording from
// memory. Traces: run.
func TestNetworks(t *testing.T) {
	for _, name := range networks(t) {
		t.Run(name, func(t *testing.T) {
			loadNetwork(t, name).rig(t, rules(byStep), nil).follow(t, loadGolden(t, name))
		})
	}
}

// TestNetworksOrderFree runs the networks in which the order of acts inside a step cannot matter
// (no part acts in a step in which one of its inputs changes and seeing that change early would
// alter the result; proof by induction over the steps): changes shown at once or not, news first
// in first out or depth first, any neighbour order, parts and cords laid in any order must give
// the same trace. Source and numbers as for TestNetworks.
func TestNetworksOrderFree(t *testing.T) {
	back := engine.DefaultRules().Order
	slices.Reverse(back[:])
	backwards := func(r *engine.Rules) { r.Order = back }
	free := 0
	for _, name := range networks(t) {
		g := loadGolden(t, name)
		if !g.orderFree {
			continue
		}
		free++
		t.Run(name, func(t *testing.T) {
			n := loadNetwork(t, name)
			for i, r := range []engine.Rules{
				rules(byTurn), rules(byTurn, lifo), rules(byTurn, backwards), rules(byStep, lifo), rules(byStep, lifo, backwards),
			} {
				n.rig(t, r, nil).follow(t, g)
				for seed := range uint64(8) {
					m, cords := n.shuffled(rand.New(rand.NewPCG(seed, uint64(i))))
					m.rig(t, r, cords).follow(t, g)
					if t.Failed() {
						t.Fatalf("rules %+v, order of parts and cords by seed %d", r, seed)
					}
				}
			}
		})
	}
	if free != 28 {
		t.Errorf("%d networks are free of order, want 28", free)
	}
}

// facts are what some parts of a network do, written as rig.of writes it.
type facts map[string]string

func (r rig) check(t *testing.T, want facts) {
	t.Helper()
	for part, w := range want {
		if got := r.of(part); got != w {
			t.Errorf("%s: %s does %q, want %q", r.net.Name, part, got, w)
		}
	}
}

// TestDeltaCycles states the arrivals of R1 one by one.
//
// R1. IEEE Std 1076-2019, 14.7.5.1 and 14.7.5.3, read; IEEE Std 1666, read in the reference
// library; numbers run.
func TestDeltaCycles(t *testing.T) {
	chain := facts{}
	for k := 1; k <= 8; k++ { // a wire between c4 and c5 changes nothing
		chain[fmt.Sprint("c", k)] = fmt.Sprintf("+1.%d -3.%d", k, k)
	}
	tree := facts{}
	for n := 2; n <= 15; n++ { // heap numbering: n is one step behind n/2
		depth := 0
		for m := n; m > 1; m /= 2 {
			depth++
		}
		tree[fmt.Sprint("n", n)] = fmt.Sprintf("+1.%d -2.%d", depth, depth)
	}
	for name, want := range map[string]facts{
		"chain8":          chain,
		"tree15":          tree,
		"diamond_equal":   {"j": "", "k": "+1.2 -2.2", "l": "+1.2 -2.2"},
		"diamond_unequal": {"j": "+1.2 -1.4 +2.2 -2.4", "k": "+1.2 -2.4", "l": "+1.4 -2.2"},
	} {
		r := loadNetwork(t, name).rig(t, rules(byStep), nil)
		r.run(t)
		r.check(t, want)
	}
}
