package engine_test

import (
	"fmt"
	"slices"
	"testing"
)

// keyed returns a network of one input a with the edges given (it starts at 0) and the parts
// given.
func keyed(until int64, edges []int64, parts ...netPart) network {
	a := netPart{ID: "a", Kind: "input"}
	for i, tick := range edges {
		a.Wave = append(a.Wave, [2]int64{tick, int64(1 - i%2)})
	}
	return network{Name: "keyed", Until: until, Parts: append([]netPart{a}, parts...)}
}

// TestPendingEdges: three rules of the standard for editing what a delay still has to give out, as
// far as a delay that knows on and off and one time can show them: with `reject` 15 and 20 ticks,
// edges before the reject window stay, those inside it that differ go, and one as late as the new
// one goes. (The standard's own example has numbers for values and two transactions at once; a
// delay of the medium cannot be told that.)
//
// R8. IEEE Std 1076-2019, 10.5.2.2 (VHDL-93: 8.4.1): read, run. Stimuli here our own, outputs
// derived by hand from the clause.
func TestPendingEdges(t *testing.T) {
	d := netPart{ID: "d", Kind: "delay", In: []string{"a"}, Ticks: 20, Reject: 15}
	for _, c := range []struct {
		edges []int64
		want  string
	}{
		{[]int64{1, 17}, "+21.0 -37.0"},         // 21 is before the window 22..36: both pend at once, both stay
		{[]int64{1, 16}, ""},                    // 21 is inside the window 21..35: a pulse of at most reject goes
		{[]int64{1, 17, 18}, "+21.0"},           // 37 goes, 21 stays; 38 would change nothing
		{[]int64{1, 17, 18, 33}, "+21.0 -53.0"}, // 38 would change nothing, so 53 is the next
		{[]int64{1, 17, 18, 20, 21}, "+21.0"},   // 40 goes in its turn
		{[]int64{1, 1}, ""},                     // an edge as late as the new one goes
		{[]int64{1, 1, 1}, "+21.0"},
		{[]int64{1, 21, 41}, "+21.0 -41.0 +61.0"},
	} {
		r := keyed(80, c.edges, d).rig(t, rules(), nil)
		r.run(t)
		if got := r.of("d"); got != c.want {
			t.Errorf("edges %v: d does %q, want %q", c.edges, got, c.want)
		}
	}
}

// TestPulsesADelayPasses: which pulses pass a delay, and when.
//
// R9. IEEE Std 1076-2019, 10.5.2.2; stimuli read in VESTs ch_05_ch_05_11, _12 and ch_05_fg_05_12
// (after Ashenden, The Designer's Guide to VHDL, 1996, ch. 5); outputs run.
func TestPulsesADelayPasses(t *testing.T) {
	r := loadNetwork(t, "delays").rig(t, rules(), nil)
	r.run(t)
	widths := func(from int64) (w []int64) {
		for n := from; n <= 5; n++ {
			w = append(w, n)
		}
		return w
	}
	for n := int64(1); n <= 5; n++ {
		for part, want := range map[string][]int64{
			fmt.Sprint("t", n):        widths(1), // transport passes all
			fmt.Sprint("i", n):        widths(n), // after N reject N passes widths of at least N
			fmt.Sprint("r", n*10+n-1): widths(n), // after N reject N-1 passes widths above N-1
		} {
			if part == "r10" {
				continue
			}
			if got := r.widths(part); !slices.Equal(got, want) {
				t.Errorf("%s passes widths %v, want %v", part, got, want)
			}
		}
	}

	b := loadNetwork(t, "textbook_delays").rig(t, rules(), nil)
	b.run(t)
	b.check(t, facts{
		"line_out": "+25.0 -45.0 +65.0 -67.0 +85.0 -87.0 +88.0 -89.0",
		"y1":       "-8.0",
		"y2":       "-8.0 +18.0 -24.0 +29.0",
	})

	// Rise 8, fall 5: of two copies, 5 and 8 ticks late, both must be on.
	u := keyed(80, []int64{20, 40, 60, 62},
		netPart{ID: "fall", Kind: "delay", In: []string{"a"}, Ticks: 5},
		netPart{ID: "rise", Kind: "delay", In: []string{"fall"}, Ticks: 3},
		netPart{ID: "out", Kind: "and", In: []string{"fall", "rise"}},
	).rig(t, rules(), nil)
	u.run(t)
	if got := u.of("out"); got != "+28.1 -45.1" {
		t.Errorf("rise 8, fall 5: %q, want on in tick 28, off in tick 45: 17 of 20 ticks, and a pulse of 2 is lost", got)
	}
}

// TestMorse sends PARIS with its word gap, 50 dots, through delays: every pulse is one or three
// dots wide, behind them as before them.
//
// R15. Rec. ITU-R M.1677-1 (10/2009), clause 2 (dash 3, gap inside a letter 1, between letters 3,
// between words 7 dots): read via several quotations. 31 + 12 + 7 dots derived.
func TestMorse(t *testing.T) {
	letters := []string{".--.", ".-", ".-.", "..", "..."}
	for _, dot := range []int64{1, 2, 5} {
		var edges, want []int64
		at := int64(1)
		for _, l := range letters {
			for _, mark := range l {
				w := dot
				if mark == '-' {
					w = 3 * dot
				}
				edges = append(edges, at, at+w)
				want = append(want, w)
				at += w + dot
			}
			at += 2 * dot
		}
		at += 4 * dot
		if at-1 != 50*dot {
			t.Fatalf("PARIS takes %d ticks, want 50 dots of %d", at-1, dot)
		}
		r := keyed(at+20, edges,
			netPart{ID: "d1", Kind: "delay", In: []string{"a"}, Ticks: 7},
			netPart{ID: "r1", Kind: "buf", In: []string{"d1"}},
			netPart{ID: "d2", Kind: "delay", In: []string{"r1"}, Ticks: int(dot), Reject: int(dot)},
		).rig(t, rules(), nil)
		r.run(t)
		for _, part := range []string{"a", "r1", "d2"} {
			if got := r.widths(part); !slices.Equal(got, want) {
				t.Errorf("dot of %d ticks: %s has pulses %v, want %v", dot, part, got, want)
			}
		}
	}
}
