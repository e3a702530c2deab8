package engine_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// inverterRing returns a ring of n inversions (n odd), started by en.
func inverterRing(n int) network {
	net := network{Name: fmt.Sprintf("ring of %d", n), Until: 1}
	net.Parts = append(net.Parts, netPart{ID: "en", Kind: "input", Wave: [][2]int64{{1, 1}}})
	for k := 1; k <= n; k++ {
		p := netPart{ID: fmt.Sprint("r", k), Kind: "not", In: []string{fmt.Sprint("r", k-1)}, Init: k % 2}
		if k == 1 {
			p.Kind, p.In = "nand", []string{"en", fmt.Sprint("r", n)}
		}
		net.Parts = append(net.Parts, p)
	}
	return net
}

// diagnosis writes the parts of a runaway in the order named, from the first in the alphabet on,
// each once.
func diagnosis(r rig, away *engine.Runaway) string {
	var names []string
	for _, id := range away.Parts {
		if name := r.Thing(id).Name; !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	first := slices.Index(names, slices.Min(names))
	return strings.Join(append(names[first:], names[:first]...), " ")
}

// TestRings: a ring of N inversions has a period of 2N steps and never settles. The bench stops
// such a tick by its budget, and says which parts keep telling each other and in how many steps.
//
// R16. D. M. Harris, S. L. Harris, Digital Design and Computer Architecture, ch. 3, astable
// circuits: read via lecture notes (three inverters of 1 ns: X up 0, Y down 1, Z up 2, X down 3, Y
// up 4, Z down 5, period 6 ns). Numbers run.
func TestRings(t *testing.T) {
	ring3 := loadNetwork(t, "ring3")
	for _, c := range []struct {
		net    network
		period int
		parts  string
	}{
		{ring3, 6, "X Y Z"},
		{loadNetwork(t, "ring5"), 10, "r1 r2 r3 r4 r5"},
		{inverterRing(3), 6, "r1 r2 r3"},
		{inverterRing(7), 14, "r1 r2 r3 r4 r5 r6 r7"},
		{inverterRing(1), 2, "r1"},
	} {
		for _, rule := range []engine.Rules{rules(byTurn), rules(byStep), rules(byTurn, lifo)} {
			for _, turns := range []int64{1000, 1001, 5003} {
				r := c.net.rig(t, rule, nil)
				err := r.RunTicks(context.Background(), 1, engine.Budget{Turns: turns})
				var away *engine.Runaway
				if !errors.As(err, &away) {
					t.Fatalf("%s: error %v, want a runaway", c.net.Name, err)
				}
				if away.Period != c.period || diagnosis(r, away) != c.parts {
					t.Errorf("%s, rules %+v: period %d, parts %q, want %d, %q",
						c.net.Name, rule, away.Period, diagnosis(r, away), c.period, c.parts)
				}
				if away.At.Tick != 1 || away.Turns != turns {
					t.Errorf("%s: stopped at %v after %d turns, want in tick 1 after %d", c.net.Name, away.At, away.Turns, turns)
				}
				if err.Error() == "" {
					t.Error("the error says nothing")
				}
			}
		}
	}

	// The textbook's waveform: X down is its instant 3, our step 1.
	r := ring3.rig(t, rules(byStep), nil)
	if err := r.RunTicks(context.Background(), 1, engine.Budget{Turns: 200}); err == nil {
		t.Error("ring3 settles")
	}
	textbook := []string{"X-", "Y+", "Z-", "X+", "Y-", "Z+"}
	for i, e := range r.edges()[1:] {
		if got := e.part + string("-+"[bit(e.on)]); got != textbook[i%6] || e.step != i+1 {
			t.Fatalf("step %d: %s, want %s at step %d", e.step, got, textbook[i%6], i+1)
		}
	}
}

// TestRingsThatEnd: through a delay of 4 ticks three inversions have a period of 8 ticks, 3 steps
// of work each; without an inversion the ring keeps its 1 for ever after set is gone.
//
// R16, as above; numbers run.
func TestRingsThatEnd(t *testing.T) {
	r := loadNetwork(t, "ring_delay").rig(t, rules(), nil)
	r.run(t)
	r.check(t, facts{"d": "-5.0 +9.0 -13.0 +17.0 -21.0 +25.0 -29.0 +33.0 -37.0"})
	steps := map[int64]int{}
	for _, e := range r.edges() {
		steps[e.tick] = max(steps[e.tick], e.step)
	}
	for tick, s := range steps {
		if s != 3 {
			t.Errorf("tick %d takes %d steps, want 3", tick, s)
		}
	}

	h := loadNetwork(t, "ring_hold").rig(t, rules(), nil)
	if err := h.Run(context.Background(), engine.Budget{}); err != nil {
		t.Fatal(err)
	}
	h.check(t, facts{"set": "+1.0 -2.0", "m1": "+1.1", "m2": "+1.2"})
}

// TestHazards: F = AB + A'C with B = C = 1 falls for as many steps as the inverter's arm is long
// when A falls, and not at all when A rises; the consensus term BC cures it. What the short arm
// does with reads="turn" is in TestRaced.
//
// R17. D. A. Huffman, J. ACM 4(1), 1957, 47–62; S. H. Unger, Asynchronous Sequential Switching
// Circuits, 1969: from memory. F and its cure read via several course texts. Numbers run.
func TestHazards(t *testing.T) {
	for _, rule := range []engine.Rules{rules(byStep), rules(byTurn), rules(byTurn, lifo)} {
		for name, want := range map[string]string{
			"hazard":      "-1.2 +1.3",
			"hazard_wide": "-1.2 +1.5",
			"hazard_free": "",
		} {
			if name == "hazard" && rule.Reads == engine.ByTurn {
				continue
			}
			r := loadNetwork(t, name).rig(t, rule, nil)
			r.run(t)
			r.check(t, facts{"f": want})
		}
	}
}
