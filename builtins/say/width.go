package say

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// Widths measures text as a terminal does; with its own settings, since those of the package follow the locale.
var Widths = &runewidth.Condition{EastAsianWidth: false}

// Columns is how many columns of a terminal a text takes.
func Columns(s string) int { return Widths.StringWidth(s) }

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
