// Package lex is a small scanner for text that need not be complete: the line under the cursor, or a line with a mistake in it.
// It may use nothing of ours.
package lex

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Kind is what a token is.
type Kind uint8

const (
	Name Kind = iota
	Number
	String  // with its quotes
	Open    // a string that has not ended
	Comment // to the end of the line
	Op
)

// Token is a piece of a text.
type Token struct {
	Kind       Kind
	Start, End int // offsets in bytes
	Text       string
	Quote      string // of a string: its opening quotes
}

// Inner is what a string holds, as written.
func (t Token) Inner() string {
	s := t.Text[strings.Index(t.Text, t.Quote)+len(t.Quote):]
	if t.Kind == String {
		s = s[:len(s)-len(t.Quote)]
	}
	return s
}

var longOps = []string{"**=", "//=", ">>=", "<<=", "...", "**", "//", "==", "!=", "<=", ">=", "->", ":=", "&&", "||", "++", "--",
	"<<", ">>", "+=", "-=", "*=", "/=", "%=", "&=", "|=", "^="}

// Text cuts a text into tokens. Blanks and line ends fall between them.
func Text(s string) (list []Token) {
	for i := 0; i < len(s); {
		r, w := utf8.DecodeRuneInString(s[i:])
		start := i
		switch {
		case r == ' ' || r == '\t' || r == '\r' || r == '\n':
			i += w
			continue
		case r == '#':
			for i < len(s) && s[i] != '\n' {
				i++
			}
			list = append(list, Token{Comment, start, i, s[start:i], ""})
			continue
		case r == '_' || unicode.IsLetter(r):
			i += NameLen(s[i:])
			if p := strings.ToLower(s[start:i]); i < len(s) && (s[i] == '"' || s[i] == '\'') && (p == "r" || p == "b" || p == "rb") {
				list = append(list, lexString(s, start, i))
				i = list[len(list)-1].End
				continue
			}
			list = append(list, Token{Name, start, i, s[start:i], ""})
			continue
		case '0' <= r && r <= '9':
			for i < len(s) && (s[i] == '.' || NameLen(s[i:]) > 0 || '0' <= s[i] && s[i] <= '9') {
				i++
			}
			list = append(list, Token{Number, start, i, s[start:i], ""})
			continue
		case r == '"' || r == '\'':
			list = append(list, lexString(s, start, i))
			i = list[len(list)-1].End
			continue
		}
		i += w
		for _, op := range longOps {
			if strings.HasPrefix(s[start:], op) {
				i = start + len(op)
				break
			}
		}
		list = append(list, Token{Op, start, i, s[start:i], ""})
	}
	return list
}

// NameLen is how many bytes of a name s begins with.
func NameLen(s string) int {
	for i, r := range s {
		if r != '_' && !unicode.IsLetter(r) && (i == 0 || !unicode.IsDigit(r)) {
			return i
		}
	}
	return len(s)
}

// lexString scans a string whose quote stands at q; start is that of its prefix. A backslash is never
// followed by the end, raw or not.
func lexString(s string, start, q int) Token {
	quote := s[q : q+1]
	if strings.HasPrefix(s[q:], strings.Repeat(quote, 3)) {
		quote = s[q : q+3]
	}
	for i := q + len(quote); i < len(s); i++ {
		switch {
		case s[i] == '\\':
			i++
		case strings.HasPrefix(s[i:], quote):
			i += len(quote)
			return Token{String, start, i, s[start:i], quote}
		case s[i] == '\n' && len(quote) == 1:
			return Token{Open, start, i, s[start:i], quote}
		}
	}
	return Token{Open, start, len(s), s[start:], quote}
}
