package lang

import (
	"strings"

	"pulsewright/lang/lex"
)

// NextRow is the blanks with which the row below a piece of a chunk begins. It goes by the first row of the statement above, however many
// rows its brackets and strings take; while a bracket is open, by the row above; inside a long string, where every blank counts, there are none.
func NextRow(chunk string) string {
	if inText(chunk) {
		return ""
	}
	row := rowAt(chunk, len(chunk))
	tokens, open := lastStatement(chunk)
	if len(tokens) == 0 { // nothing but blanks or a comment
		return blanksOf(chunk[row:])
	}
	first, last := tokens[0], tokens[len(tokens)-1]
	if !open && last.Text != "\\" {
		row = rowAt(chunk, first.Start)
	}
	for _, t := range tokens {
		if t.Start < row && row < t.End { // it begins inside a string: the row in which that began counts
			row = rowAt(chunk, t.Start)
		}
	}
	blanks := blanksOf(chunk[row:])
	switch {
	case last.Kind == lex.Op && strings.Contains(":([{", last.Text):
		return blanks + "    "
	case open:
	case first.Text == "return" || first.Text == "break" || first.Text == "continue" || first.Text == "pass":
		return strings.TrimSuffix(blanks, "    ")
	}
	return blanks
}

// lastStatement is the last statement of a text, without comments, and whether it ends inside brackets. Where the last row holds no
// more than blanks or a comment, there is none.
func lastStatement(src string) (all []lex.Token, open bool) {
	depth, end := 0, 0
	for _, t := range append(lex.Text(src), lex.Token{Start: len(src)}) {
		if depth == 0 && (len(all) == 0 || all[len(all)-1].Text != "\\") && strings.Contains(src[end:t.Start], "\n") {
			all = nil
		}
		if end = t.End; t.Text != "" && t.Kind != lex.Comment {
			all = append(all, t)
		}
		switch {
		case t.Kind != lex.Op:
		case strings.Contains("([{", t.Text):
			depth++
		case strings.Contains(")]}", t.Text):
			depth = max(depth-1, 0)
		}
	}
	return all, depth > 0
}

// rowAt is where the row begins in which a place of a text lies.
func rowAt(src string, at int) int { return strings.LastIndexByte(src[:at], '\n') + 1 }

func blanksOf(text string) string { return text[:len(text)-len(strings.TrimLeft(text, " \t"))] }
