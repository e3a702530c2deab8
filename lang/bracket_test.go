package lang

import (
	"errors"
	"strings"
	"testing"
)

// TestOpenBracket: a bracket of an earlier line that is never closed is named where the text stops making sense, and no other is.
func TestOpenBracket(t *testing.T) {
	for _, c := range []struct{ script, hint string }{
		{"x = [1, 2,\n     (3, 4\ny = 5\nlamp((0, 0))", "( opened on line 2 is not closed"},
		{"\n\nkey((0, 0)\nlamp((1, 0))", "( opened on line 3 is not closed"},
		{"x = {1: 2\nfor i in [1]:\n    pass", "{ opened on line 1 is not closed"},
		{"x = len([1],\n  \"(\" # [\n", "( opened on line 1 is not closed"},
		{"x = len(\n  1 2\n)", ""}, {"x = [1, 2)", ""}, {"x = (1 2", ""}, {"x = [1,\n 2)\n", ""}, {"x = 1\ny = 2 3", ""},
	} {
		s := newSession(t, Config{})
		err := s.Exec(t.Context(), "quay.star", c.script)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%q: %v", c.script, err)
			continue
		}
		if got := e.Hint; c.hint == "" && strings.Contains(got, "opened on") || !strings.Contains(got, c.hint) {
			t.Errorf("%q: %s\nwant %q", c.script, got, c.hint)
		}
	}
}
