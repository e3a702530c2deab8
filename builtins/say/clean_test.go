package say

import "testing"

// No text of the user's drives the terminal.
func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{
		"quay\n\tberth":   "quay\n\tberth",
		"\x1b]0;x\x07":    `\x1b]0;x\a`,
		"a\u202eb":        `a\u202eb`,
		"\u009b31m":       `\u009b31m`,
		"Kai größe 岸":     "Kai größe 岸",
		"pi\u200der":      `pi\u200der`,
		"\ufeffpier":      `\ufeffpier`,
		"a\u2028b\u2029":  `a\u2028b\u2029`,
		"\x9b31m\xffquay": `\x9b31m\xffquay`,
		"\ufffd":          "\ufffd",
		"岸\xe5\xb2":       `岸\xe5\xb2`,
	} {
		if got := Printable(in); got != want {
			t.Errorf("Printable(%q) = %q, want %q", in, got, want)
		}
	}
}

// What of a name cannot be seen has a name of its own, for those who refuse it.
func TestUnseen(t *testing.T) {
	for in, want := range map[string]string{
		"quay 岸 é\ufffd": "", "a\nb": "a control character", "a\u0085b": "a control character", "a\u202eb": "a format character", "a\u200bb": "a format character",
		"a\u00adb": "a format character", "a\u2028b": "a separator of lines", "a\u2029b": "a separator of lines", "a\xe5": "a byte that is not UTF-8",
	} {
		if got := unseenIn(in); got != want {
			t.Errorf("unseenIn(%q) = %q, want %q", in, got, want)
		}
	}
}
