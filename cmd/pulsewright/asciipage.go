package main

import (
	"regexp"
	"strings"

	"pulsewright/builtins/say"
)

var (
	promptMark = regexp.MustCompile(`(?m)^(\d+\.\d+|  :) »`)
	columnDots = regexp.MustCompile(`…(\S*)  (  +)`) // in front of a column, which stays where it is
)

// asciiPage is a page of the guide without letters beyond ASCII: each sign as the shell itself shows it there.
func asciiPage(page string) string {
	page = promptMark.ReplaceAllString(page, "$1 |>")
	page = columnDots.ReplaceAllString(page, "...$1$2")
	page = strings.NewReplacer("…", "...", "·", "*", "⇡", "+", "⇣", "-", "⇢", ":").Replace(page)
	lines := strings.Split(page, "\n")
	for i, line := range lines {
		lines[i] = strings.Map(func(r rune) rune { return asciiSign(r, strings.ContainsAny(line, wires)) }, line)
	}
	return strings.Join(lines, "\n")
}

// wires are the signs that only maps have.
var wires = string([]rune{say.GWire.Sign(false), say.GLive.Sign(false)})

// asciiSign is what stands for a sign. Some mean one thing in a map and another in a diagram.
func asciiSign(r rune, inMap bool) rune {
	if r <= '~' {
		return r
	}
	for g := range say.GlyphTable {
		if g := say.Glyph(g); g.Sign(false) == r && (!inMap || g >= say.GEast) {
			return g.Sign(true)
		}
	}
	return r
}
