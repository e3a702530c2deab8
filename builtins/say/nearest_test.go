package say

import "testing"

// TestNearestScript: the ending that all scripts share is no likeness, and no room for slips.
func TestNearestScript(t *testing.T) {
	among := []string{"lag.star", "harbour.star", "lamp"}
	for word, want := range map[string]string{"new.star": "", "nope.star": "", "lga.star": "lag.star", "harbor.star": "harbour.star", "lag.star": "", ".star": ""} {
		if got := Nearest(word, among); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}
