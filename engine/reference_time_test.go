package engine_test

import (
	"fmt"
	"slices"
	"testing"

	"pulsewright/engine"
)

// ticksOf lists the ticks in which a part changes, whatever to.
func (r rig) ticksOf(part string) []int64 {
	var ticks []int64
	for _, e := range r.edges() {
		if e.part == part {
			ticks = append(ticks, e.tick)
		}
	}
	return ticks
}

// widths lists the lengths of a part's pulses in ticks.
func (r rig) widths(part string) []int64 {
	var w []int64
	rise := int64(-1)
	for _, e := range r.edges() {
		switch {
		case e.part != part:
		case e.on:
			rise = e.tick
		default:
			w = append(w, e.tick-rise)
		}
	}
	return w
}

// TestMaxPlus: a timed event graph follows x_i(k) = max over j of A_ij + x_j(k-1). Node i is a C-element
// of delays of A_ij ticks and an xor with an input that rises at 1 + x_i(0), so that its
// k-th change is in tick 1 + x_i(k). The recursion is computed here besides.
//
// R5. J. Stanczyk, Max-Plus Algebra Toolbox for Matlab, manual v1.7, 2016, Ex. 2.41, 2.46, 4.1: read. The matrix
// goes back to Baccelli, Cohen, Olsder, Quadrat, Synchronization and Linearity, 1992, 1.1: from memory.
// R6. Same manual, 4.4.1, eqs. (53)–(58), after De Schutter: read, run.
// R7. Heidergott, Olsder, van der Woude, Max Plus at Work, 2006, ch. 0: from memory; its arithmetic run.
func TestMaxPlus(t *testing.T) {
	const none = -1 << 40
	for _, c := range []struct {
		name   string
		a      [][]int64
		x0     []int64
		states [][]int64 // published, from x0 on
		per    int64     // x(k+steps) - x(k) …
		steps  int
		from   int // … from this k on
	}{
		{"maxplus_3724", [][]int64{{3, 7}, {2, 4}}, []int64{0, 0},
			[][]int64{{0, 0}, {7, 4}, {11, 9}, {16, 13}, {20, 18}, {25, 22}, {29, 27}}, 9, 2, 1},
		{"maxplus_shop", [][]int64{{5, none, 5}, {none, 6, 3}, {11, 12, 11}}, []int64{2, 0, 8},
			[][]int64{{2, 0, 8}, {13, 11, 19}, {24, 22, 30}, {35, 33, 41}, {46, 44, 52}}, 11, 1, 0},
		{"maxplus_stations", [][]int64{{2, 5}, {3, 3}}, []int64{0, 0},
			[][]int64{{0, 0}, {5, 3}, {8, 8}, {13, 11}, {16, 16}}, 8, 2, 0},
	} {
		r := loadNetwork(t, c.name).rig(t, rules(), nil)
		r.run(t)
		x := slices.Clone(c.x0)
		for k := 0; 1+slices.Max(x) <= r.net.Until; k++ {
			for i := range x {
				ticks := r.ticksOf(fmt.Sprint("x", i+1))
				if k >= len(ticks) || ticks[k] != 1+x[i] {
					t.Fatalf("%s: x%d changes in ticks %v, want number %d in %d", c.name, i+1, ticks, k, 1+x[i])
				}
				if k >= c.steps+c.from && ticks[k]-ticks[k-c.steps] != c.per {
					t.Errorf("%s: x%d gains %d in %d changes, want %d", c.name, i+1, ticks[k]-ticks[k-c.steps], c.steps, c.per)
				}
			}
			if k < len(c.states) && !slices.Equal(x, c.states[k]) {
				t.Fatalf("%s: the recursion gives x(%d) = %v, published %v", c.name, k, x, c.states[k])
			}
			next := make([]int64, len(x))
			for i := range x {
				for j := range x {
					next[i] = max(next[i], c.a[i][j]+x[j])
				}
			}
			x = next
		}
	}
}

// keyed returns a network of one input a with the edges given (it starts at 0) and the parts given.
func keyed(until int64, edges []int64, parts ...netPart) network {
	a := netPart{ID: "a", Kind: "input"}
	for i, tick := range edges {
		a.Wave = append(a.Wave, [2]int64{tick, int64(1 - i%2)})
	}
	return network{Name: "keyed", Until: until, Parts: append([]netPart{a}, parts...)}
}

// TestPendingEdges: three rules of the standard for editing what a delay still has to give out, as
// far as a delay that knows on and off and one time can show them: with `reject` 15 and 20
// ticks, edges before the reject window stay, those inside it that differ go, and one as
// late as the new one goes. (The standard's own example has numbers for values and two
// transactions at once; a delay of the medium cannot be told that.)
//
// R8. IEEE Std 1076-2019, 10.5.2.2 (VHDL-93: 8.4.1): read, run. Stimuli here our own, outputs derived
// by hand from the clause.
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
// R9. IEEE Std 1076-2019, 10.5.2.2; stimuli read in VESTs ch_05_ch_05_11, _12 and ch_05_fg_05_12 (after
// Ashenden, The Designer's Guide to VHDL, 1996, ch. 5); outputs run.
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

// TestVernier: the interval shrinks at each stage by the difference of two delays.
//
// R12. P. Dudek, S. Szczepanski, J. V. Hatfield, A High-Resolution CMOS Time-to-Digital Converter Utilizing a
// Vernier Delay Line, IEEE J. Solid-State Circuits 35(2), Feb 2000, 240–247: abstract and start of
// section I read. Numbers run.
func TestVernier(t *testing.T) {
	r := loadNetwork(t, "vernier").rig(t, rules(), nil)
	r.run(t)
	for k, want := range [][]int64{{5}, {3}, {1}, nil, nil, nil} {
		if got := r.widths(fmt.Sprint("v", k)); !slices.Equal(got, want) {
			t.Errorf("v%d is on for %v ticks, want %v", k, got, want)
		}
	}
	s := loadNetwork(t, "vernier_steps").rig(t, rules(), nil)
	s.run(t)
	s.check(t, facts{"v0": "+1.1 -1.7", "v1": "+1.4 -1.8", "v2": "+1.7 -1.9", "v3": "", "v4": "", "v5": ""}) // 6, 4, 2 steps
}

// TestPulsesThatShrink is the negative control of R10: a repeater that takes or adds a little at each stage is caught.
//
// R13. Principle as in R10, from memory. Numbers run.
func TestPulsesThatShrink(t *testing.T) {
	for name, want := range map[string][]int64{"shrink": {10, 7, 4, 1, 0, 0}, "stretch": {2, 4, 6, 8, 10}} {
		r := loadNetwork(t, name).rig(t, rules(), nil)
		r.run(t)
		for k, w := range want {
			part := "x"
			if k > 0 {
				part = fmt.Sprint("p", k)
			}
			got := r.widths(part)
			if w == 0 && got != nil || w > 0 && !slices.Equal(got, []int64{w}) {
				t.Errorf("%s: %s is on for %v ticks, want %d", name, part, got, w)
			}
		}
	}
}

// shiftRegister returns n delays of 1 tick, their taps xor'ed and fed back, kicked once.
func shiftRegister(n int, taps []int, until int64) network {
	net := network{Name: fmt.Sprint("register of ", n), Until: until}
	f, y := netPart{ID: "f", Kind: "or", In: []string{"y", "kick"}}, netPart{ID: "y", Kind: "xor"}
	last := "f"
	for k := 1; k <= n; k++ {
		net.Parts = append(net.Parts, netPart{ID: fmt.Sprint("s", k), Kind: "delay", In: []string{last}, Ticks: 1})
		last = fmt.Sprint("s", k)
	}
	for _, tap := range taps {
		y.In = append(y.In, fmt.Sprint("s", tap))
	}
	net.Parts = append(net.Parts, y, f, netPart{ID: "kick", Kind: "input", Wave: [][2]int64{{1, 1}, {2, 0}}})
	return net
}

// bits returns what a part is at the end of each tick from tick `from` on, n ticks long, as 0s and 1s.
func (r rig) bits(part string, from, n int64) string {
	s := make([]byte, 0, n)
	level := byte('0')
	fill := func(to int64) {
		for from+int64(len(s)) < min(to, from+n) {
			s = append(s, level)
		}
	}
	for _, e := range r.edges() {
		if e.part == part {
			fill(e.tick)
			level = byte('0' + bit(e.on))
		}
	}
	fill(from + n)
	return string(s)
}

// TestShiftRegisters: maximal registers repeat after 2^n - 1 ticks, not earlier, and hold runs of known number.
//
// R14. Taps of the table in Xilinx application note XAPP 052 (1996): read via transcriptions; periods run. Run property:
// S. W. Golomb, Shift Register Sequences, 1967, from memory. n = 4: 000100110101111, and the De Bruijn sequence
// 0000100110101111 with a 0 in front: read via public tables.
func TestShiftRegisters(t *testing.T) {
	for _, c := range []struct {
		n    int
		taps []int
	}{
		{3, []int{3, 2}}, {4, []int{4, 3}}, {5, []int{5, 3}}, {6, []int{6, 5}}, {7, []int{7, 6}}, {8, []int{8, 6, 5, 4}},
		{9, []int{9, 5}}, {10, []int{10, 7}}, {11, []int{11, 9}}, {12, []int{12, 6, 4, 1}},
		{15, []int{15, 14}}, {16, []int{16, 15, 13, 4}},
	} {
		period := int64(1)<<c.n - 1
		start := int64(c.n) + 2 // the kick is past every stage
		r := shiftRegister(c.n, c.taps, start+2*period).rig(t, rules(), nil)
		last, _ := r.Lookup(fmt.Sprint("s", c.n))
		r.Record(engine.RecordSome)
		r.Watch(engine.Target{ID: last})
		r.run(t)
		// Changes of the last stage, from which the states follow, repeat after the period …
		var word uint32
		seen := make([]bool, period+1)
		stage := []byte(r.bits(fmt.Sprint("s", c.n), start, 2*period))
		if !slices.Equal(stage[:period], stage[period:]) {
			t.Errorf("register of %d: does not repeat after %d ticks", c.n, period)
		}
		// … and within it every word but 0 comes once.
		for i, bit := range stage[:period+int64(c.n)-1] {
			word = (word<<1 | uint32(bit-'0')) & uint32(period)
			if i < c.n-1 {
				continue
			}
			if word == 0 || seen[word] {
				t.Fatalf("register of %d: word %b comes twice, or is 0", c.n, word)
			}
			seen[word] = true
		}
		if got, want := runs(stage[:period]), int(period+1)/2; got != want {
			t.Errorf("register of %d: %d runs, want %d", c.n, got, want)
		}
	}

	l := loadNetwork(t, "lfsr4").rig(t, rules(), nil)
	l.run(t)
	if got, want := l.bits("s4", 2, 15), "000100110101111"; got != want {
		t.Errorf("lfsr4: s4 is %s, want %s", got, want)
	}
	if got, want := l.ticksOf("s4")[:9], []int64{5, 6, 8, 10, 11, 12, 13, 17, 20}; !slices.Equal(got, want) {
		t.Errorf("lfsr4: s4 changes in ticks %v, want %v", got, want)
	}
	if got, want := l.widths("s4")[:4], []int64{1, 2, 1, 4}; !slices.Equal(got, want) {
		t.Errorf("lfsr4: pulses of s4 %v, want %v", got, want)
	}
}

// runs counts the runs of equal bits in a cyclic sequence.
func runs(bits []byte) (n int) {
	for i := range bits {
		n += bit(bits[i] != bits[(i+1)%len(bits)])
	}
	return n
}

// TestMorse sends PARIS with its word gap, 50 dots, through delays: every pulse is one or three dots wide, behind
// them as before them.
//
// R15. Rec. ITU-R M.1677-1 (10/2009), clause 2 (dash 3, gap inside a letter 1, between letters 3, between
// words 7 dots): read via several quotations. 31 + 12 + 7 dots derived.
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

// TestMicropipeline: a pipeline of N stages takes N requests that nobody has acknowledged.
//
// R18. I. E. Sutherland, Micropipelines, Comm. ACM 32(6), June 1989, 720–738: from memory (citation read via). Run.
func TestMicropipeline(t *testing.T) {
	r := loadNetwork(t, "micropipe3").rig(t, rules(), nil)
	r.run(t)
	r.check(t, facts{
		"c1": "+1.1 -2.1 +3.1 -6.3",
		"c2": "+1.2 -2.2 +6.2 -7.2",
		"c3": "+1.3 -6.1 +7.1",
	})
}

// TestTwistedRing: four stages go through eight states, one bit a tick.
//
// R19. Four stages, 0000 1000 1100 1110 1111 0111 0011 0001 and again: read via public course notes. Run.
func TestTwistedRing(t *testing.T) {
	r := loadNetwork(t, "johnson4").rig(t, rules(), nil)
	r.run(t)
	r.check(t, facts{
		"s1": "+2.0 -6.0 +10.0 -14.0 +18.0", "s2": "+3.0 -7.0 +11.0 -15.0 +19.0",
		"s3": "+4.0 -8.0 +12.0 -16.0 +20.0", "s4": "+5.0 -9.0 +13.0 -17.0",
	})
	states := []string{"0000", "1000", "1100", "1110", "1111", "0111", "0011", "0001"}
	var stage []string
	for k := 1; k <= 4; k++ {
		stage = append(stage, r.bits(fmt.Sprint("s", k), 1, 20))
	}
	for i := range 20 {
		got := string([]byte{stage[0][i], stage[1][i], stage[2][i], stage[3][i]})
		if got != states[i%8] {
			t.Errorf("tick %d: %s, want %s", i+1, got, states[i%8])
		}
	}
}
