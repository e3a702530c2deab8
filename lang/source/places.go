package source

import (
	"strings"
	"unicode/utf8"

	"go.starlark.net/syntax"
)

// Places turns positions of a text into offsets.
type Places struct {
	src   string
	first int   // number of the first line
	start []int // offset of each line
}

// NewPlaces are the places of a text whose first line has the number first.
func NewPlaces(src string, first int) *Places {
	p := &Places{src: src, first: first, start: []int{0}}
	for i := range len(src) {
		if src[i] == '\n' {
			p.start = append(p.start, i+1)
		}
	}
	return p
}

// Offset is where a position lies, in bytes; the end of the text if it lies outside.
func (p *Places) Offset(pos syntax.Position) int {
	i := int(pos.Line) - p.first
	if i < 0 || i >= len(p.start) {
		return len(p.src)
	}
	off := p.start[i]
	for n := int(pos.Col) - 1; n > 0 && off < len(p.src) && p.src[off] != '\n'; n-- {
		_, w := utf8.DecodeRuneInString(p.src[off:])
		off += w
	}
	return off
}

// Silenced reports whether a semicolon ends the line after a statement.
func (p *Places) Silenced(end syntax.Position) bool {
	rest, _, _ := strings.Cut(p.src[p.Offset(end):], "\n")
	rest, _, _ = strings.Cut(rest, "#")
	return strings.TrimSpace(rest) == ";"
}

// After is the offset behind the line on which a statement ends.
func (p *Places) After(end syntax.Position) int {
	off := p.Offset(end)
	if i := strings.IndexByte(p.src[off:], '\n'); i >= 0 {
		return off + i + 1
	}
	return len(p.src)
}
