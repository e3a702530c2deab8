package say

import (
	"strconv"
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

// OneLine keeps a field on its line, and what a terminal would obey from it: each is a blank.
func OneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || drives(r) {
			return ' '
		}
		return r
	}, s)
}

// Printable writes control characters as escapes, so that no text can drive the terminal. Newlines and tabs stay.
func Printable(s string) string {
	if strings.IndexFunc(s, drives) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if drives(r) {
			b.WriteString(strings.Trim(strconv.QuoteRuneToASCII(r), "'"))
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// drives reports whether a terminal would obey a rune instead of showing it: controls, and the marks that change the direction of
// writing.
func drives(r rune) bool {
	if ' ' <= r && r <= '~' {
		return false
	}
	return r != '\n' && r != '\t' && unicode.In(r, unicode.Cc, unicode.Bidi_Control)
}
