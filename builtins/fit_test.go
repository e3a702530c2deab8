package builtins

import "testing"

// TestFit holds growth laws to points made from known polynomials, and to points of none.
func TestFit(t *testing.T) {
	sizes := []int64{1, 2, 4, 8, 16}
	for _, c := range []struct {
		of   func(n int64) int64
		want string
	}{
		{func(int64) int64 { return 7 }, "constant: 7"},
		{func(int64) int64 { return 0 }, "constant: 0"},
		{func(n int64) int64 { return 3*n + 2 }, "linear: 3 N + 2"},
		{func(n int64) int64 { return n }, "linear: N"},
		{func(n int64) int64 { return -n - 1 }, "linear: -N - 1"},
		{func(n int64) int64 { return n * (n + 1) / 2 }, "quadratic: 1/2 N^2 + 1/2 N"},
		{func(n int64) int64 { return 2*n*n - 5 }, "quadratic: 2 N^2 - 5"},
		{func(n int64) int64 { return n * n * n }, "none of constant, linear, quadratic"},
		{func(n int64) int64 { return n / 8 }, "none of constant, linear, quadratic"},
	} {
		var ys []int64
		for _, n := range sizes {
			ys = append(ys, c.of(n))
		}
		if got := fit(sizes, ys).String(); got != c.want {
			t.Errorf("%v: %s, want %s", ys, got, c.want)
		}
	}
	if got := fit([]int64{5}, []int64{1}).String(); got != "not known: too few sizes" {
		t.Errorf("one point: %s", got)
	}
	// Two points tell a constant, but not whether a growth is linear.
	if got := fit([]int64{1, 2}, []int64{1, 2}).String(); got != "none of constant, linear, quadratic" {
		t.Errorf("two points: %s", got)
	}
}
