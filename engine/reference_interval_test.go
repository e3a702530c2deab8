package engine_test

import (
	"fmt"
	"slices"
	"testing"
)

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

// TestVernier: the interval shrinks at each stage by the difference of two delays.
//
// R12. P. Dudek, S. Szczepanski, J. V. Hatfield, A High-Resolution CMOS Time-to-Digital Converter
// Utilizing a Vernier Delay Line, IEEE J. Solid-State Circuits 35(2), Feb 2000, 240–247: abstract
// and start of section I read. Numbers run.
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

// TestPulsesThatShrink is the negative control of R10: a repeater that takes or adds a little at
// each stage is caught.
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
