package say

import "testing"

func TestRanges(t *testing.T) {
	for _, c := range []struct {
		xs   []int64
		want string
	}{{nil, "none"}, {[]int64{3}, "3"}, {[]int64{3, 4}, "3, 4"}, {[]int64{3, 4, 5, 9}, "3 to 5, 9"}, {[]int64{1, 2, 3, 4, 37, 48, 61}, "1 to 4, 37, 48, 61"}} {
		if got := Ranges(c.xs); got != c.want {
			t.Errorf("%v: %s, want %s", c.xs, got, c.want)
		}
	}
}
