package main

import (
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"
)

// keywords of the language, and its three constants.
var keywords = map[string]bool{}

func init() {
	for _, word := range strings.Fields("and break continue def elif else for if in lambda load not or pass return while True False None") {
		keywords[word] = true
	}
}

// highlighter paints the line being typed. The editor counts columns in the line as it is, so each letter stays one
// letter of the same width; only colours come between.
type highlighter struct {
	look
	newline rune // what a newline inside the line looks like
}

func newHighlighter(l look, ascii bool) *highlighter {
	if ascii {
		return &highlighter{l, '~'}
	}
	return &highlighter{l, '↵'}
}

// paint is text with colours.
func (h *highlighter) paint(text []rune) []rune {
	out := make([]rune, 0, len(text)+len(text)/2)
	put := func(open string, part []rune) {
		if open == "" {
			out = h.visible(out, part)
			return
		}
		out = append(out, []rune(open)...)
		out = h.visible(out, part)
		out = append(out, []rune(resetColor)...)
	}
	for i := 0; i < len(text); {
		open, n := h.token(text[i:])
		if i > 0 && wordRune(text[i-1]) && open == h.Keyword { // the end of a longer word
			open = ""
		}
		put(open, text[i:i+n])
		i += n
	}
	return out
}

// visible appends what the screen shows of part: nothing of control characters, the newline mark as its glyph.
func (h *highlighter) visible(out, part []rune) []rune {
	for i, r := range part {
		switch {
		case r == filler:
			out = append(out, ' ')
		case r == newlineMark && i+1 < len(part) && part[i+1] == filler: // it is seen
			out = append(out, ' ')
		case r == newlineMark:
			out = append(out, h.newline)
		case r == '\n' || !unicode.IsControl(r):
			out = append(out, r)
		}
	}
	return out
}

// token gives the colour and the length of what text, not empty, begins with.
func (h *highlighter) token(text []rune) (open string, n int) {
	switch r := text[0]; {
	case r == newlineMark:
		return h.Mark, 1 + until(text[1:], func(r rune) bool { return r != filler })
	case r == '#':
		return h.Comment, until(text, func(r rune) bool { return r == newlineMark || r == '\n' })
	case r == '"' || r == '\'':
		return h.Text, quoted(text)
	case wordRune(r):
		n = until(text, func(r rune) bool { return !wordRune(r) })
		if keywords[string(text[:n])] {
			return h.Keyword, n
		}
		return "", n
	}
	return "", 1
}

// until is the number of letters before the first for which end holds.
func until(text []rune, end func(rune) bool) int {
	for i, r := range text {
		if end(r) {
			return i
		}
	}
	return len(text)
}

// quoted is the length of the string that text begins with, closed or not.
func quoted(text []rune) int {
	quote := text[0]
	if len(text) >= 3 && text[1] == quote && text[2] == quote { // a long string
		for i := 3; i+2 < len(text); i++ {
			if text[i] == '\\' {
				i++
			} else if text[i] == quote && text[i+1] == quote && text[i+2] == quote {
				return i + 3
			}
		}
		return len(text)
	}
	for i := 1; i < len(text); i++ {
		switch text[i] {
		case '\\':
			i++
		case quote:
			return i + 1
		case newlineMark, '\n':
			return i
		}
	}
	return len(text)
}

// columns measures text as terminals do, whatever the locale says.
var columns = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

func width(text []rune) int {
	n := 0
	for _, r := range text {
		n += columns.RuneWidth(r)
	}
	return n
}

// moveBack is what brings the cursor from the end of the text to pos, beyond the one column for each letter that the editor
// goes back by itself: wide letters take two.
func moveBack(text []rune, pos int) []rune {
	extra := width(text[pos:]) - len(text[pos:])
	switch {
	case extra > 0:
		return []rune(strings.Repeat("\b", extra))
	case extra < 0:
		return []rune(strings.Repeat("\x1b[C", -extra))
	}
	return nil
}
