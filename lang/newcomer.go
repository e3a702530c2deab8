package lang

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/builtins/say"
	"pulsewright/lang/lex"
)

// What people type who do not know yet that the conversation is a language: words without brackets, names without quotes.

// leaves reports whether a command is the wish to leave the shell. A session that has given the word a meaning keeps it.
func (s *Session) leaves(src string) bool {
	word := strings.TrimSuffix(strings.TrimSpace(src), "()")
	return (word == "exit" || word == "quit") && !s.names.live.Has(word)
}

// asked reports whether a command asks for help, and for what: word?, or the bare word help.
func (s *Session) asked(src string) (what string, ok bool) {
	if what, ok = question(src); ok {
		return strings.TrimSpace(strings.TrimPrefix(what, "help ")), true
	}
	return "", strings.TrimSpace(src) == "help" && !s.names.own["help"]
}

// unbracketed says what to write instead of a call without brackets, or ?word; "" if the line is neither.
func (s *Session) unbracketed(m *slip) string {
	t := m.tokens
	if len(t) == 2 && t[0].Text == "?" && t[1].Kind == lex.Name {
		return fmt.Sprintf("the question mark stands behind the word; write %s?", t[1].Text)
	}
	if m.at != 1 || len(t) < 2 || t[0].Kind != lex.Name || t[0].End == t[1].Start || t[1].Kind > lex.String {
		return ""
	}
	word := s.callable(t[0].Text)
	switch word {
	case "":
		return ""
	case "help":
		what := strings.TrimSpace(m.line[t[1].Start:])
		if _, err := help.On(s.env, starlark.String(what)); err != nil {
			return `write help("fire") for a word, help("armed") for a term, and help() to begin`
		}
		return fmt.Sprintf("a call has brackets; write help(%q), or %s?", what, what)
	}
	var args []string
	for _, a := range t[1:] {
		switch {
		case a.Text == ",":
		case a.Kind == lex.Name && !s.names.live.Has(a.Text):
			args = append(args, strconv.Quote(a.Text))
		case a.Kind <= lex.String:
			args = append(args, a.Text)
		default:
			return fmt.Sprintf("a call has its arguments in brackets; write %s(...)", word)
		}
	}
	return fmt.Sprintf("a call has its arguments in brackets; write %s(%s)", word, strings.Join(args, ", "))
}

// callable is the word that can be called which a name is, or is near to.
func (s *Session) callable(name string) string {
	if v, ok := s.names.live[name]; ok {
		if _, ok := v.(starlark.Callable); ok {
			return name
		}
		return ""
	}
	var words []string
	for _, e := range Entries() {
		words = append(words, e.Name)
	}
	return say.Nearest(name, words)
}

// unquoted is a hint for a name that nobody has defined, if parts are named so.
func (s *Session) unquoted(e *Error, name string) string {
	b := s.env.Bench
	full := dottedAt(e.line, int(e.Pos.Col)-1)
	for _, n := range []string{full, name} {
		if _, ok := b.Lookup(n); ok {
			return fmt.Sprintf("that is the name of a part; write it in quotes, %q", n)
		}
		if first, last := builtins.RowNamed(b, n); first != "" {
			return fmt.Sprintf("that is the name of a row of parts; write one in quotes, %q to %q", first, last)
		}
	}
	for n := range b.Names() {
		if strings.HasPrefix(n, name+".") {
			return fmt.Sprintf("names of parts that begin so are written whole and in quotes, such as %q", say.Printable(n))
		}
	}
	return ""
}

// dottedAt is the dotted name that begins at a column of a line, as it may be the name of a part: quay.lamp, line.0.
func dottedAt(line string, col int) string {
	tokens := lex.Text(line)
	for i, t := range tokens {
		if utf8.RuneCountInString(line[:t.Start]) != col || t.Kind != lex.Name {
			continue
		}
		end := t.End
		for i+2 < len(tokens) && tokens[i+1].Text == "." && tokens[i+1].Start == end && tokens[i+2].Kind <= lex.Number {
			end = tokens[i+2].End
			i += 2
		}
		return line[t.Start:end]
	}
	return ""
}

// wordAttribute explains an attribute that was asked of a word.
func wordAttribute(_ *Session, e *Error, m []string) {
	e.Msg = fmt.Sprintf("a function has no .%s", m[2])
	tokens := lex.Text(e.line)
	for i, t := range tokens[:max(len(tokens)-1, 0)] {
		if next := tokens[i+1]; next.Text == "." && utf8.RuneCountInString(e.line[:next.Start]) == int(e.Pos.Col)-1 && t.Kind == lex.Name {
			e.Msg = fmt.Sprintf("%s is a function and has no .%s", t.Text, m[2])
			e.Hint = t.Text + "? explains it"
		}
	}
}

// openQuote explains a string that does not end. The place of the error is that of its first quote.
func openQuote(_ *Session, e *Error, _ []string) {
	e.Msg = "the string that begins here is not closed"
	col := int(e.Pos.Col) - 1
	for _, t := range lex.Text(e.line) {
		if t.Kind == lex.Open && utf8.RuneCountInString(e.line[:t.Start]) <= col {
			e.Hint = "it ends with the quote it begins with: " + t.Quote
		}
	}
}
