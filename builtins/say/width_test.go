package say

import (
	"strings"
	"testing"
)

// TestFold: lines are broken at blanks, and nothing else about them changes.
func TestFold(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", ""},
		{"short\nlines", "short\nlines"},
		{"each berth is lit", "each berth\n  is lit"},
		{"  tried     9 runs", "  tried\n    9 runs"},
		{"gap  9 ticks", "gap  9 ticks"},
		{"gap   9 ticks", "gap   9\n  ticks"},
		{"breakwater-light on", "breakwater-light\n  on"},
		{"on breakwater-light", "on\n  breakwater-light"},
		{"short\nand one that is not\nshort", "short\nand one that\n  is not\nshort"},
	} {
		if got := Fold(c.text, 12); got != c.want {
			t.Errorf("Fold(%q) = %q, want %q", c.text, got, c.want)
		}
		if got := Fold(c.text, 12); strings.Join(strings.Fields(got), " ") != strings.Join(strings.Fields(c.text), " ") {
			t.Errorf("Fold(%q) = %q", c.text, got)
		}
	}
}
