package say

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// Widths measures text as a terminal does; with its own settings, since those of the package follow the locale.
var Widths = &runewidth.Condition{EastAsianWidth: false}

// Columns is how many columns of a terminal a text takes; quick for ASCII.
func Columns(s string) int {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return Widths.StringWidth(s)
		}
	}
	return len(s)
}

var AlignNames = []string{"left", "right", "center"}

func Align(s string, width int, how, fill string) string {
	room := width - Columns(s)
	if room <= 0 {
		return s
	}
	switch how {
	case "right":
		return strings.Repeat(fill, room) + s
	case "center":
		return strings.Repeat(fill, room/2) + s + strings.Repeat(fill, room-room/2)
	}
	return s + strings.Repeat(fill, room)
}

// Fill writes the words of a text in lines of at most width columns, if no word is wider by itself: the first begins with first, the
// others with rest.
func Fill(text, first, rest string, width int) string {
	var out strings.Builder
	out.WriteString(first)
	at, empty := Columns(first), true
	for _, word := range strings.Fields(text) {
		wide := Columns(word)
		switch {
		case empty:
		case at+1+wide > width:
			out.WriteString("\n" + rest)
			at = Columns(rest)
		default:
			out.WriteByte(' ')
			at++
		}
		out.WriteString(word)
		at, empty = at+wide, false
	}
	return out.String()
}

// Fold breaks the lines of a text that are wider than so many columns, at blanks; what goes on stands two columns further in than its
// line. A word that is too wide by itself stays whole.
func Fold(text string, width int) string {
	if width <= 0 || Columns(text) <= width && !strings.Contains(text, "\n") {
		return text
	}
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if Columns(line) > width {
			lines[i] = foldLine(line, width)
		}
	}
	return strings.Join(lines, "\n")
}

func foldLine(line string, width int) string {
	rest := strings.TrimLeft(line, " ")
	indent := line[:len(line)-len(rest)]
	next := "\n" + indent + "  "
	var out strings.Builder
	out.WriteString(indent)
	at, blanks := len(indent), ""
	for rest != "" {
		word, _, _ := strings.Cut(rest, " ")
		if wide := len(blanks) + Columns(word); blanks != "" && at+wide > width {
			out.WriteString(next)
			at = len(next) - 1 + Columns(word)
		} else {
			out.WriteString(blanks)
			at += wide
		}
		out.WriteString(word)
		tail := rest[len(word):]
		rest = strings.TrimLeft(tail, " ")
		blanks = tail[:len(tail)-len(rest)]
	}
	return out.String()
}
