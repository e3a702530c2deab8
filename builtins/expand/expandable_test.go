package expand

import (
	"pulsewright/builtins/stage"

	"testing"
)

// TestExpandable: designs that are expandable, that fail at a known size, and that fail only when large.
func TestExpandable(t *testing.T) { stage.MustDo(t, stage.Read(t, "testdata/expandable.star")) }

// TestCrossing: from how far apart two events are, and how much farther with each size, follows whether and when they
// change places; within a tick steps count, between ticks they do not.
func TestCrossing(t *testing.T) {
	for _, c := range []struct {
		apart, farther when
		want           int
	}{
		{when{0, 5}, when{0, 0}, 0},
		{when{0, 5}, when{0, 1}, 0},
		{when{0, 5}, when{0, -1}, 5},
		{when{0, 5}, when{0, -2}, 3},
		{when{0, 0}, when{0, 1}, 0},
		{when{0, 0}, when{0, -1}, 1},
		{when{1, 0}, when{0, -1}, 0},
		{when{3, 0}, when{-1, 0}, 3},
		{when{3, 0}, when{-2, 7}, 2},
		{when{2, -4}, when{1, -1}, 0},
	} {
		if got := crossing(c.apart, c.farther, 0); got != c.want {
			t.Errorf("%v apart, %v farther with each size: change places after %d, want %d", c.apart, c.farther, got, c.want)
		}
	}
}
