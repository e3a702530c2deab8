package sketch

import (
	"errors"
	"testing"
)

// FuzzRead: no text makes the reader panic, and what is wrong has a place in the text.
func FuzzRead(f *testing.F) {
	for _, text := range []string{"k   +--+-n>1\nlegend\n1: far=\"+y\"", "z = 1   x to the right, y up\n  0  ~9~ 10\n0 k        +\n~ 3 rows without parts\n-4 T+       jp\n\nlegend\nt: tokens=12",
		"s> (f)\n\non the shelf\ng adder\n\nlegend\nshelf: g op=\"and\"\ncords: (0, 0) to #1 invert=True\norder: #1 (0, 0)\nframe: \"r\" at (1, 2) x=+y y=-x z=+z from (0, 0) to (5, 5)\nnames: (0, 0) to (0, 0) \"a\"",
		"n▸\n⠶⠒\nlegend\n(0, 0): pads=[(0, 1), (2, 0, 1)]"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		plan, err := Read(text, nil, nil)
		if err == nil {
			plan.Index()
			return
		}
		var e *Error
		if !errors.As(err, &e) || e.At.Line < 1 || e.At.Column < 1 {
			t.Fatalf("%q: %v has no place", text, err)
		}
	})
}

// TestColumnOfATab: columns are counted in characters, as they are read.
func TestColumnOfATab(t *testing.T) {
	_, err := Read("k  ⋅  ⋅  ⋅ \t⋅", nil, nil)
	var e *Error
	if !errors.As(err, &e) || e.At.Line != 1 || e.At.Column != 12 {
		t.Errorf("got %v, want line 1, column 12", err)
	}
}
