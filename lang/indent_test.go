package lang

import (
	"context"
	"errors"
	"testing"
)

// A line at a wrong depth gets an error about its depth, whatever stands in it.
func TestIndentation(t *testing.T) {
	const (
		body  = "the body of a def, if, for or while must be indented"
		deep  = "this line is indented deeper than the lines it belongs to"
		less  = "this line is indented less than the one above it, but not as much as any line it could go on from"
		empty = "the text ends where the body of a def, if, for or while should stand"
		four  = "indent it by 4 spaces"
		tabs  = "tabs and spaces are mixed here, and a tab counts as up to 8 spaces; indent every line of the block by 4 spaces"
		pass  = "a body that does nothing is the word pass, indented by 4 spaces"
	)
	for _, test := range []struct {
		src, msg, hint string
		line           int32
	}{
		{"def f():\nreturn 1\n", body, four, 2},
		{"def f():\n    # says why\nreturn 1\n", body, four, 3},
		{"def f():\n\"\"\"Says what.\"\"\"\n", body, four, 2},
		{"def f():\nimport x\n", body, four, 2},
		{"def f():\n    if True:\n    return 1\n", body, four, 3},
		{"if True:\nprint(1)\n", body, four, 2},
		{"if True:\n    pass\nelse:\nprint(1)\n", body, four, 4},
		{"for i in range(3):\nprint(i)\n", body, four, 2},
		{"def f():\n    x = 1\n      return x\n", deep, "", 3},
		{"x = 1\n    return x\n", deep, "", 2},
		{"def f():\n    x = 1\n  return x\n", less, "", 3},
		{"def f():\n    x = 1\n\treturn x\n", deep, tabs, 3},
		{"def f():\n\tx = 1\n    return x\n", less, tabs, 3},
		{"for i in [1]:\n \tx = 1\n\n    # a remark\n\t\ty = 2\n", deep, tabs, 5},
		{"def f():\n", empty, pass, 2},
		{"f = lambda x: return x\n", "a lambda is one expression, without return", "", 1},
		{"x = [return]\n", "return begins a line of its own, inside a def", "", 1},
	} {
		s := newSession(t, Config{})
		var e *Error
		if err := s.Exec(context.Background(), "x.star", test.src); !errors.As(err, &e) {
			t.Fatalf("%q: %v", test.src, err)
		}
		if e.Msg != test.msg || e.Hint != test.hint || e.Pos.Line != test.line {
			t.Errorf("%q: line %d: %q, %q; want line %d: %q, %q", test.src, e.Pos.Line, e.Msg, e.Hint, test.line, test.msg, test.hint)
		}
	}
}
