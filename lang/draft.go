package lang

import (
	"fmt"
	"strings"
)

// A draft is what is being typed and was not run yet. The journal keeps each row of a block as it is entered, and the row that is being
// typed where the shell has time for it as it ends.

// Recaller is a LineReader that can bring a text back which was typed before, for the user to go on with.
type Recaller interface{ Recall(draft string) }

// Draft keeps in the journal what is being typed.
func (s *Session) Draft(text string) {
	if text = strings.TrimRight(text, " \n"); text == s.journal.draft {
		return
	}
	s.journal.draft = text
	s.journal.write(journalLine{Draft: &text})
}

// HandBack gives the user what was being typed when a conversation ended, and says so.
func (s *Session) HandBack(p *Past, in LineReader) {
	if p.Draft == "" {
		return
	}
	s.journal.draft = p.Draft
	if r, ok := in.(Recaller); ok {
		r.Recall(p.Draft)
		fmt.Fprintln(s.env.Out, s.folded("not run yet when the shell ended, Up brings it back: "+brief(p.Draft)))
		return
	}
	fmt.Fprintln(s.env.Out, "not run yet when the shell ended:")
	for row := range strings.SplitSeq(p.Draft, "\n") {
		s.print(nil, "    "+row)
	}
}
