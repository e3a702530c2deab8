package say

import "testing"

// No text of the user's drives the terminal.
func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{
		"quay\n\tberth": "quay\n\tberth",
		"\x1b]0;x\x07":  `\x1b]0;x\a`,
		"a\u202eb":      `a\u202eb`,
		"\u009b31m":     `\u009b31m`,
		"Kai größe 岸":   "Kai größe 岸",
	} {
		if got := Printable(in); got != want {
			t.Errorf("Printable(%q) = %q, want %q", in, got, want)
		}
	}
}
