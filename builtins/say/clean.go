package say

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
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

// OneLine keeps a field on its line, and what a terminal would obey or hide from it: each is a blank.
func OneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || unseen(r) != "" {
			return ' '
		}
		return r
	}, s)
}

// Printable writes what cannot be seen as escapes, so that no text can drive the terminal or be read as another. Newlines and tabs stay.
func Printable(s string) string {
	var b strings.Builder
	done := 0 // of s, written
	for i, r := range s {
		switch {
		case r == '\n' || r == '\t':
		case stray(s, i, r):
			fmt.Fprintf(&b, `%s\x%02x`, s[done:i], s[i])
			done = i + 1
		case unseen(r) != "":
			b.WriteString(s[done:i] + strings.Trim(strconv.QuoteRuneToASCII(r), "'"))
			done = i + utf8.RuneLen(r)
		}
	}
	if done == 0 {
		return s
	}
	return b.String() + s[done:]
}

// CheckFileName refuses the path of a file with something in it that a terminal would obey or hide instead of showing it.
func CheckFileName(path string) error {
	if what := unseenIn(path); what != "" {
		name := strings.NewReplacer("\n", `\n`, "\t", `\t`).Replace(Printable(path))
		return fmt.Errorf(`"%s" has %s in it; want a name that can be shown`, name, what)
	}
	return nil
}

// unseenIn is unseen of the first rune or byte of a text that has it; "" if all can be seen.
func unseenIn(s string) string {
	for i, r := range s {
		if stray(s, i, r) {
			return "a byte that is not UTF-8"
		}
		if what := unseen(r); what != "" {
			return what
		}
	}
	return ""
}

// stray reports whether the rune r of s at i is a byte that is not UTF-8: some terminals obey it as a control character.
func stray(s string, i int, r rune) bool {
	return r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError))
}

// unseen says what a rune is that a terminal would obey or hide, such as "a control character"; "": it shows it. Format characters have no width, or change the direction of writing.
func unseen(r rune) string {
	switch {
	case ' ' <= r && r <= '~':
		return ""
	case unicode.Is(unicode.Cc, r):
		return "a control character"
	case unicode.Is(unicode.Cf, r):
		return "a format character"
	case unicode.In(r, unicode.Zl, unicode.Zp):
		return "a separator of lines"
	}
	return ""
}
