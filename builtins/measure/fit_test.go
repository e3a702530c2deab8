package measure

import "testing"

// TestFindLaw holds laws of growth to points made from known laws, and to points of none.
func TestFindLaw(t *testing.T) {
	for _, c := range []struct {
		of    func(n int64) int64
		want  string // "": there is none
		start int64
	}{
		{func(int64) int64 { return 7 }, "7", 1},
		{func(int64) int64 { return 0 }, "0", 1},
		{func(n int64) int64 { return 3*n + 2 }, "3 N + 2", 1},
		{func(n int64) int64 { return n }, "N", 1},
		{func(n int64) int64 { return -n - 1 }, "-N - 1", 1},
		{func(n int64) int64 { return n * (n + 1) / 2 }, "1/2 N^2 + 1/2 N", 1},
		{func(n int64) int64 { return 2*n*n - 5 }, "2 N^2 - 5", 1},
		{func(n int64) int64 { return max(3, n) }, "N", 3},
		{func(n int64) int64 { return 2*n + n/2 }, "no single law; period 2: 5/2 N - 1/2 where N is odd, 5/2 N where N is even", 1},
		{func(n int64) int64 { return n + n%3 }, "no single law; period 3: N + 1 where N = 1 modulo 3, N + 2 where N = 2 modulo 3, N where N = 0 modulo 3", 1},
		// Of these every one agrees with a law at the sizes 2, 4, 6, 8, 10, or at all up to a size.
		{func(n int64) int64 { return n * n * n }, "", 0},
		{func(n int64) int64 { return n / 8 }, "", 0},
		{func(n int64) int64 { return 2*n + n/30 }, "", 0},
		{func(n int64) int64 { return 2*n + n%11/10 }, "", 0},
		{func(n int64) int64 { return min(n, 20) }, "", 0},
		{func(n int64) int64 { return max(n, 7) }, "", 0},
		{func(n int64) int64 { return 2*n + max(0, n-24)*max(0, n-24) }, "", 0},
		{func(n int64) int64 { return 2*n + (n%24+23)/24 }, "", 0},
	} {
		var ys []int64
		for _, n := range growthSizes {
			ys = append(ys, c.of(n))
		}
		l, ok := findLaw(growthSizes, ys)
		if got := l.String(); ok != (c.want != "") || ok && (got != c.want || l.start != c.start) {
			t.Errorf("%v: %v %s from %d on, want %q from %d on", ys, ok, got, l.start, c.want, c.start)
		}
	}
	// A law needs some points more than it has coefficients.
	for n, want := range []bool{false, false, false, false, false, true} {
		xs, ys := upTo(int64(n)), upTo(int64(n))
		if _, ok := findLaw(xs, ys); ok != want {
			t.Errorf("%d points: %v, want %v", n, ok, want)
		}
	}
}
