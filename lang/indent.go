package lang

import "strings"

// indentation explains errors about how deep a line stands. They come before all habits: a line at a wrong depth says
// nothing of what stands in it.
func (s *Session) indentation(e *Error) bool {
	switch {
	case wantsBody(e.Msg):
		e.Msg = "the body of a def, if, for or while must be indented"
		e.Hint = "indent it by 4 spaces"
		if e.line == "" {
			e.Msg = "the text ends where the body of a def, if, for or while should stand"
			e.Hint = "a body that does nothing is the word pass, indented by 4 spaces"
		}
	case tooDeep(e.Msg):
		e.Msg = "this line is indented deeper than the lines it belongs to"
	case tooShallow(e.Msg):
		e.Msg = "this line is indented less than the one above it, but not as much as any line it could go on from"
	default:
		return false
	}
	if s.mixed(e) {
		e.Hint = "tabs and spaces are mixed here, and a tab counts as up to 8 spaces; indent every line of the block by 4 spaces"
	}
	return true
}

// mixed reports whether the line of an error, or the lines of its block above it, are indented by tabs and by spaces.
func (s *Session) mixed(e *Error) bool {
	tab, space := false, false
	for p, line := e.Pos, e.line; ; line = s.sources.line(p) {
		blanks := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
		tab = tab || strings.Contains(blanks, "\t")
		space = space || strings.Contains(blanks, " ")
		if p.Line--; p.Line < 1 || blanks == "" && strings.TrimSpace(line) != "" {
			return tab && space
		}
	}
}
