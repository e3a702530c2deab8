package lang

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"pulsewright/lang/lex"
)

var closers = map[string]string{"(": ")", "[": "]", "{": "}"}

// openBracket names the innermost bracket of an earlier line that stands open where a text stops making sense, and that is never closed; "" if there is
// none. The parser complains lines later, where the next statement begins.
func (s *Session) openBracket(e *Error) string {
	if !gotWant.MatchString(e.Msg) || e.Pos.Line < 2 {
		return ""
	}
	lines, first := s.sources.latest(e.Pos.Filename())
	type bracket struct {
		text string
		line int
	}
	var open []bracket
	line, seen := first, 0
	text := strings.Join(lines, "\n")
	for _, t := range lex.Text(text) {
		line += strings.Count(text[seen:t.Start], "\n")
		seen = t.Start
		switch n := len(open); {
		case t.Kind != lex.Op:
		case closers[t.Text] != "":
			open = append(open, bracket{t.Text, line})
		case n > 0 && closers[open[n-1].text] == t.Text:
			open = open[:n-1]
		case strings.Contains(")]}", t.Text) && utf8.RuneCountInString(t.Text) == 1:
			return "" // it closes nothing: who knows which is meant
		}
	}
	for n := len(open) - 1; n >= 0; n-- {
		if open[n].line < int(e.Pos.Line) {
			return fmt.Sprintf("%s opened on line %d is not closed", open[n].text, open[n].line)
		}
	}
	return ""
}
