package engine_test

import (
	"fmt"
	"slices"
	"testing"

	"pulsewright/engine"
)

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

// bits returns what a part is at the end of each tick from tick `from` on, n ticks long, as 0s and
// 1s.
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

// TestShiftRegisters: maximal registers repeat after 2^n - 1 ticks, not earlier, and hold runs of
// known number.
//
// R14. Taps of the table in Xilinx application note XAPP 052 (1996): read via transcriptions;
// periods run. Run property: S. W. Golomb, Shift Register Sequences, 1967, from memory. n = 4:
// 000100110101111, and the De Bruijn sequence 0000100110101111 with a 0 in front: read via public
// tables.
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

// TestMicropipeline: a pipeline of N stages takes N requests that nobody has acknowledged.
//
// R18. I. E. Sutherland, Micropipelines, Comm. ACM 32(6), June 1989, 720–738: from memory
// (citation read via). Run.
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
// R19. Four stages, 0000 1000 1100 1110 1111 0111 0011 0001 and again: read via public course
// notes. Run.
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
