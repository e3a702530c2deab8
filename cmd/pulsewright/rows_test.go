package main

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestSpread(t *testing.T) {
	for _, c := range []struct {
		in                    string
		prompt, columns, rows int
		out                   string // fillers as dots
	}{
		{"if a:⏎  b^", 3, 12, 24, "if a:⏎......  b^"},
		{"if a:^⏎  b", 3, 12, 24, "if a:^⏎......  b"},
		{"if a:⏎^  b", 3, 12, 24, "if a:⏎......^  b"},
		{"⏎⏎^", 3, 6, 24, "⏎.....⏎.....^"},
		{"ab⏎^", 3, 6, 24, "ab⏎...^"},        // the mark takes the last column
		{"abc⏎^", 3, 6, 24, "abc⏎........^"}, // and here the first of the next row
		{"語⏎^", 3, 6, 24, "語⏎...^"},          // two columns
		{"a⏎b^", 3, 6, 2, "a⏎b^"},            // no room
		{"a⏎b^", 3, 6, 3, "a⏎....b^"},        // room
		{"one line^", 3, 80, 24, "one line^"},
	} {
		l := spread(at(c.in), c.prompt, c.columns, c.rows)
		if got := strings.ReplaceAll(l.String(), string(filler), "."); got != c.out {
			t.Errorf("%s: %s, want %s", c.in, got, c.out)
		}
	}
}

// Whatever is spread is gathered again, wherever the cursor is.
func TestSpreadGathered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := []rune(rapid.StringOf(rapid.RuneFrom([]rune("ab 語\uE00A"))).Draw(t, "text"))
		l := line{text, rapid.IntRange(0, len(text)).Draw(t, "pos")}
		prompt := rapid.IntRange(1, 10).Draw(t, "prompt")
		s := spread(l, prompt, prompt+rapid.IntRange(1, 20).Draw(t, "room"), rapid.IntRange(1, 30).Draw(t, "rows"))
		if got := gathered(s.text, s.pos); got.String() != l.String() {
			t.Fatalf("%s became %s by way of %q", l, got, s)
		}
	})
}
