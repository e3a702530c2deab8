package lang

import "strings"

// The parser's errors have no types: what is wrong is known by their words, which are all here.

// breaksOff: the text ends in brackets, in a string, or where more should stand.
func breaksOff(msg string) bool {
	return strings.HasPrefix(msg, "got end of file") || strings.HasPrefix(msg, "unexpected EOF")
}

// gotOther: one thing stands where another should.
func gotOther(msg string) bool {
	return strings.HasPrefix(msg, "got ") && strings.Contains(msg, ", want ")
}

// wants: that other thing is this.
func wants(msg, what string) bool { return strings.HasSuffix(msg, ", want "+what) }

// wantsBody: the body of a def, if, for or while does not stand where it should.
func wantsBody(msg string) bool { return wants(msg, "indent") }

// tooDeep: a line is indented that should not be.
func tooDeep(msg string) bool { return strings.HasPrefix(msg, "got indent, want ") }

// tooShallow: a line is less indented than the one above it, but as none before that.
func tooShallow(msg string) bool {
	return strings.HasPrefix(msg, "unindent does not match any outer")
}

// chained: one comparison follows another.
func chained(msg string) bool { return strings.Contains(msg, "does not associate with") }

// oddCharacter: no word begins with this.
func oddCharacter(msg string) bool { return strings.HasPrefix(msg, "unexpected input character") }

// oddNumber: it begins like a number, but is none.
func oddNumber(msg string) bool { return strings.HasPrefix(msg, "invalid int literal") }
