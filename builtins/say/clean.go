package say

import (
	"strings"
	"unicode"
)

// Clean writes a text so that it cannot command a terminal or break a line: control characters, and marks that turn the
// direction of writing, become question marks. The words that place refuse such names; a bench made by a program may have them.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, s)
}

// OneLine keeps a field on its line, and its control characters from the terminal.
func OneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			return ' '
		}
		return r
	}, s)
}
