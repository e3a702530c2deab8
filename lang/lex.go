package lang

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A small scanner for text that need not be complete: the line under the cursor, or a line with a mistake in it.

type tokenKind uint8

const (
	tokName tokenKind = iota
	tokNumber
	tokString  // with its quotes
	tokOpen    // a string that has not ended
	tokComment // to the end of the line
	tokOp
)

type token struct {
	kind       tokenKind
	start, end int // offsets in bytes
	text       string
	quote      string // of a string: its opening quotes
}

// inner is what a string holds, as written.
func (t token) inner() string {
	s := t.text[strings.Index(t.text, t.quote)+len(t.quote):]
	if t.kind == tokString {
		s = s[:len(s)-len(t.quote)]
	}
	return s
}

var longOps = []string{"**=", "//=", ">>=", "<<=", "...", "**", "//", "==", "!=", "<=", ">=", "->", ":=", "&&", "||", "++", "--",
	"<<", ">>", "+=", "-=", "*=", "/=", "%=", "&=", "|=", "^="}

// lex cuts a text into tokens. Blanks and line ends fall between them.
func lex(s string) (list []token) {
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
			list = append(list, token{tokComment, start, i, s[start:i], ""})
			continue
		case r == '_' || unicode.IsLetter(r):
			i += nameLen(s[i:])
			if p := strings.ToLower(s[start:i]); i < len(s) && (s[i] == '"' || s[i] == '\'') && (p == "r" || p == "b" || p == "rb") {
				list = append(list, lexString(s, start, i))
				i = list[len(list)-1].end
				continue
			}
			list = append(list, token{tokName, start, i, s[start:i], ""})
			continue
		case '0' <= r && r <= '9':
			for i < len(s) && (s[i] == '.' || nameLen(s[i:]) > 0 || '0' <= s[i] && s[i] <= '9') {
				i++
			}
			list = append(list, token{tokNumber, start, i, s[start:i], ""})
			continue
		case r == '"' || r == '\'':
			list = append(list, lexString(s, start, i))
			i = list[len(list)-1].end
			continue
		}
		i += w
		for _, op := range longOps {
			if strings.HasPrefix(s[start:], op) {
				i = start + len(op)
				break
			}
		}
		list = append(list, token{tokOp, start, i, s[start:i], ""})
	}
	return list
}

// nameLen is how many bytes of a name s begins with.
func nameLen(s string) int {
	for i, r := range s {
		if r != '_' && !unicode.IsLetter(r) && (i == 0 || !unicode.IsDigit(r)) {
			return i
		}
	}
	return len(s)
}

// lexString scans a string whose quote stands at q; start is that of its prefix. A backslash is never
// followed by the end, raw or not.
func lexString(s string, start, q int) token {
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
			return token{tokString, start, i, s[start:i], quote}
		case s[i] == '\n' && len(quote) == 1:
			return token{tokOpen, start, i, s[start:i], quote}
		}
	}
	return token{tokOpen, start, len(s), s[start:], quote}
}
