package lang

import (
	"bytes"
	"context"
	"io"
	"slices"
	"strings"
	"testing"
)

func TestIncomplete(t *testing.T) {
	for src, want := range map[string]bool{
		"":                              false,
		"# only a comment":              false,
		"x = 1":                         false,
		"def f():":                      true,
		"def f():\n    return 1":        true,
		"def f():\n    return 1\n":      false,
		"def f(): return 1":             true, // an else might follow an if
		"if x: pass":                    true,
		"if x: pass\n":                  false,
		"f(1,":                          true,
		"[1,\n2":                        true,
		"[1,\n\n2]":                     false,
		"'''long":                       true,
		"'''long\n\n":                   true,
		"x = 1 +":                       false,
		"x = )":                         false,
		"f(1))":                         false,
		"for i in range(3):\n    f(i":   true,
		"def f(x: int):":                false,
		"try:":                          false,
		"x = 'abc":                      false,
		"def f():\n    x = (1 + ]":      false,
		"if True:\n    pass\nelse:":     true,
		"def f():\n    # a comment":     true,
		"x = {\n  'a': 1,  # a comment": true,
	} {
		if got := Incomplete(src); got != want {
			t.Errorf("Incomplete(%q) = %v, want %v", src, got, want)
		}
	}
}

func TestStripPrompts(t *testing.T) {
	for in, want := range map[string]string{
		"x = 1":                     "x = 1",
		"12.3 » x = 1":              "x = 1",
		"12.3 |> x = 1":             "x = 1",
		"12.3 » x = 1\n3\n12.3 » x": "x = 1\nx",
		"0.0 » def f():\n  : »     return 1\n  : »\n0.0 » f()\n1": "def f():\n    return 1\n\nf()",
		"0.0 » if x:\n  : »     y()\n0.0 » z()":                   "if x:\n    y()\n\nz()",
		"def f():\n\n    return 1":                                "def f():\n\n    return 1",
		"12.3 + x":                                                "12.3 + x",
	} {
		if got := StripPrompts(in); got != want {
			t.Errorf("StripPrompts(%q) = %q, want %q", in, got, want)
		}
	}
}

// A paste is one unit, however many lines, blank ones included: it is run whole and remembered whole.
func TestPaste(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out})
	in := &pasting{entries: []string{
		"def f(n):\n    x = n\n\n    return x + 1\nf(1)\nf(2)",
		"if True:", "    print('in a block')", "",
		"xs = [", "1,", "", "2]", "xs",
		"nonsense(",
	}}
	if err := s.Interact(func() (context.Context, context.CancelFunc) { return context.WithCancel(context.Background()) }, in); err != nil {
		t.Fatal(err)
	}
	if want := "2\n3\nin a block\n[1, 2]\n"; out.String() != want {
		t.Errorf("shows %q, want %q", out.String(), want)
	}
	want := []string{in.entries0[0], "if True:\n    print('in a block')", "xs = [\n1,\n\n2]", "xs"}
	if !slices.Equal(in.kept, want) {
		t.Errorf("kept %q, want %q", in.kept, want)
	}
}

type pasting struct {
	entries, entries0 []string
	kept              []string
}

func (p *pasting) ReadLine(string, string) (string, error) {
	if p.entries0 == nil {
		p.entries0 = p.entries
	}
	if len(p.entries) == 0 {
		return "", io.EOF
	}
	e := p.entries[0]
	p.entries = p.entries[1:]
	return e, nil
}

func (p *pasting) Keep(chunk string) { p.kept = append(p.kept, chunk) }

// slowHand types lines into whatever stands there already.
type slowHand struct{ lines []string }

func (in *slowHand) ReadLine(_, prefill string) (string, error) {
	if len(in.lines) == 0 {
		return "", io.EOF
	}
	line := in.lines[0]
	in.lines = in.lines[1:]
	return prefill + line, nil
}

// TestTypedDrawing: a drawing that is typed row by row, or pasted, is what was typed, blank rows and all.
func TestTypedDrawing(t *testing.T) {
	drawing := "\n   K   w+\n      \n\n    l  "
	for _, lines := range [][]string{
		append([]string{"d = r\"\"\""}, append(strings.Split(drawing[1:], "\n"), "\"\"\"")...),
		{"d = r\"\"\"", drawing[1:] + "\n\"\"\""},
		{"d = r\"\"\"" + drawing + "\n\"\"\""},
	} {
		s := newSession(t, Config{})
		chunk, err := s.Read(&slowHand{lines})
		if want := "d = r\"\"\"" + drawing + "\n\"\"\""; err != nil || chunk != want {
			t.Errorf("typed %q: got %q, %v", lines, chunk, err)
		}
	}
}
