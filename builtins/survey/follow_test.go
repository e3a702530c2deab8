package survey

import "testing"

// TestCheckedSays: how many cases were run to check is said with its own verb, of one as of more.
func TestCheckedSays(t *testing.T) {
	for n, want := range map[int]string{1: "follows was", 2: "follow were"} {
		if got := follow(n); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
