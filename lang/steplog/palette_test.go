package steplog

import (
	"testing"

	"pulsewright/builtins/say"
)

// TestNarrow: the signs of the log are one column wide whatever the locale says.
func TestNarrow(t *testing.T) {
	wide := *say.Widths
	wide.EastAsianWidth = true
	g := unicodeGlyphs
	for _, s := range []string{g.mark, g.rise, g.fall, g.move, g.lapse, g.block, g.nudge, g.set, g.dots} {
		if say.Widths.StringWidth(s) != 1 || wide.StringWidth(s) != 1 {
			t.Errorf("%q is not always one column wide", s)
		}
	}
}
