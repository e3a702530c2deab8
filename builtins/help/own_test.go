package help_test

import (
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// TestOwnKind: help on a kind of a script's own, on its name and on a part of it says how it is placed, what it does, and what its docstring says.
func TestOwnKind(t *testing.T) {
	for _, about := range []string{"memo", `"memo"`, "m"} {
		s := stage.MustDo(t, `
def wants(state, live, told):
    """Keeps what was live last.

    Figures:
      delay: 2 ticks
    """
    return "set" if live.back else "clear" if live.sides else None
memo = kind("memo", ["clear", "set"], wants, when={"clear": "now", "set": 2}, then={"set": 5}, feeds={"set": ("front", 3)}, tells="front", says={"clear": None}, letter="i")
m = memo((1, 0), "+x")
help(`+about+`)
`)
		text := s.Printed.String()
		for _, want := range []string{`memo(at, facing, state="clear", name=None)`, "states   clear, set; the first is that of a new part", "letter   i", "reads    back, sides, cords",
			"told by  back, front, sides, cords, a nudge", "reacts   clear: at once; set: after 2 ticks", "feeds    clear: nothing; set: the cell in front, with level 3", "tells    the part in front and cords",
			"then     5 ticks after it became set it looks by itself", "silent   that it becomes clear is no event", "Keeps what was live last.\n\nFigures:\n  delay: 2 ticks"} {
			if !strings.Contains(text, want) {
				t.Errorf("help(%s): no %q in\n%s", about, want, text)
			}
		}
	}
}
