package engine_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pulsewright/engine"
)

// repeaters returns a network that makes a pulse of width steps (an edge and its copy so many
// parts later, xor'ed: p) and sends it through a line of repeaters r1, r2, …
func repeaters(width, stations int) network {
	n := network{Name: fmt.Sprintf("pulse of %d through %d repeaters", width, stations), Until: 2}
	add := func(id, kind string, in ...string) { n.Parts = append(n.Parts, netPart{ID: id, Kind: kind, In: in}) }
	n.Parts = append(n.Parts, netPart{ID: "x", Kind: "input", Wave: [][2]int64{{1, 1}, {2, 0}}})
	last := "x"
	for k := 1; k <= width; k++ {
		add(fmt.Sprint("e", k), "buf", last)
		last = fmt.Sprint("e", k)
	}
	add("p", "xor", "x", last)
	last = "p"
	for k := 1; k <= stations; k++ {
		add(fmt.Sprint("r", k), "buf", last)
		last = fmt.Sprint("r", k)
	}
	return n
}

// keepsWidth checks that the pulse is of the right width behind every repeater, on the rising and
// on the falling edge of x.
func keepsWidth(t *testing.T, r rig, width, stations int) {
	t.Helper()
	for k := range stations + 1 {
		part := fmt.Sprint("r", k)
		if k == 0 {
			part = "p"
		}
		up, down := 1+k, 1+k+width
		want := fmt.Sprintf("+1.%d -1.%d +2.%d -2.%d", up, down, up, down)
		if got := r.of(part); got != want {
			t.Errorf("%s, rules %+v: %s does %q, want %q", r.net.Name, r.Rules(), part, got, want)
		}
	}
}

// TestRepeatersKeepWidth: any number of repeaters neither loses nor gains a step.
//
// R10. Unequal rise and fall delays change a pulse by their difference at every stage: T. E.
// Rahkonen, J. T. Kostamovaara, IEEE J. Solid-State Circuits 28(8), 1993, 887–894, from memory;
// equal delays change nothing. Numbers run.
func TestRepeatersKeepWidth(t *testing.T) {
	r := loadNetwork(t, "pulse5_repeat12").rig(t, rules(byStep), nil)
	r.run(t)
	keepsWidth(t, r, 5, 12)

	for width := 1; width <= 30; width++ {
		for _, stations := range []int{0, 1, 2, 7, 31} {
			n := repeaters(width, stations)
			for _, r := range []engine.Rules{rules(byStep), rules(byTurn), rules(byTurn, lifo)} {
				if width == 1 && r.Reads == engine.ByTurn {
					continue // x and its copy, one step apart, race for p
				}
				w := n.rig(t, r, nil)
				w.run(t)
				keepsWidth(t, w, width, stations)
			}
		}
	}
}

// TestRepeatersKeepWidthAtRandom is the property of R10 at sizes nobody chose, parts and cords
// laid in any order. Source as above.
func TestRepeatersKeepWidthAtRandom(t *testing.T) {
	for seed := range uint64(40) {
		rnd := rand.New(rand.NewPCG(seed, 10))
		width, stations := 2+rnd.IntN(200), rnd.IntN(200)
		n, cords := repeaters(width, stations).shuffled(rnd)
		reads := []func(*engine.Rules){byStep, byTurn}[rnd.IntN(2)]
		w := n.rig(t, rules(reads), cords)
		w.run(t)
		if keepsWidth(t, w, width, stations); t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

// TestTapsRoundTrip: the position is the interval divided by the stage, rounded down; a pulse of
// twice the number through repeaters into taps of two steps gives the number back.
//
// R11. J. Kalisz, Review of methods for time interval measurements with picosecond resolution,
// Metrologia 41, 2004, 17–32: abstract and start read; a tapped line read as a thermometer code,
// read via introductions; n = floor(T / tau) itself from memory. Numbers run.
func TestTapsRoundTrip(t *testing.T) {
	even := loadNetwork(t, "decode_even").rig(t, rules(byStep), nil)
	even.run(t)
	even.check(t, facts{"t1": "+1.2 -1.8", "t2": "+1.4 -1.8", "t3": "+1.6 -1.8", "t4": "", "q4": ""})

	trip := loadNetwork(t, "roundtrip6").rig(t, rules(byStep), nil)
	trip.run(t)
	for k := 1; k <= 9; k++ {
		got := trip.of(fmt.Sprint("q", k))
		switch marks := strings.Map(func(r rune) rune {
			if strings.ContainsRune("+-", r) {
				return r
			}
			return -1
		}, got); {
		case k <= 6 && (marks != "+-+" || !strings.Contains(got, "-2.1")):
			t.Errorf("roundtrip6: q%d does %q, want set in tick 1, cleared at 2.1, set in tick 3", k, got)
		case k > 6 && got != "":
			t.Errorf("roundtrip6: q%d does %q, want nothing", k, got)
		}
	}

	for n := 1; n <= 10; n++ {
		net := sent(2*n, 7, 24)
		for i, r := range []engine.Rules{rules(byStep), rules(byTurn), rules(byTurn, lifo)} {
			for seed := range uint64(6) {
				m, cords := net.shuffled(rand.New(rand.NewPCG(seed, uint64(i))))
				if got := position(t, m.edges(t, r, cords)); got != n {
					t.Fatalf("a pulse of %d arrives at %d, want %d (rules %+v, order by seed %d)", 2*n, got, n, r, seed)
				}
			}
		}
	}
}

// sent returns a pulse of width steps, repeaters, and taps of two steps behind the last one.
func sent(width, stations, taps int) network {
	n := repeaters(width, stations)
	n.Name, n.Until = fmt.Sprintf("pulse of %d into %d taps", width, taps), 1
	n.Parts[0].Wave = [][2]int64{{1, 1}}
	out := n.Parts[len(n.Parts)-1].ID
	for _, p := range decoder(0, taps, true).Parts {
		if p.ID == "x" || p.ID == "p" {
			continue
		}
		for i, in := range p.In {
			if in == "p" {
				p.In[i] = out
			}
		}
		n.Parts = append(n.Parts, p)
	}
	return n
}
