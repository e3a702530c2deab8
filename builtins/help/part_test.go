package help_test

import (
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// TestHelpOfAPart: help of a part says which cells this part reads, not what its kind usually reads.
func TestHelpOfAPart(t *testing.T) {
	for script, wants := range map[string][]string{
		`link((0, 0), "+y", pads=[(1, 0, 0), (0, 3, 0)])`:       {"reads    (1, 0) (0, 3), the pads it was given\n", "far pad  none\n"},
		`link((5, 0), "+y")`:                                    {"reads    the five neighbours that are not its front\n", "far pad  two cells behind it; "},
		`link((5, 0), "+y", far="+x")`:                          {"reads    the five neighbours that are not its front\n", "far pad  (7, 0), the far pad it was given; "},
		`frame(at=(9, 0), x="+y").link((0, 0), "+x", far="+x")`: {"far pad  (9, 2), the far pad it was given; "},
		`link()`: {"reads    its cords: it lies on the shelf\n", "far pad  none\n"},
		`gate((0, 0), "+x", "not", pads=[(0, 2, 0)])`: {"reads    (0, 2), the pads it was given\n", "far pad  none\n"},
		`battery((0, 0))`: {"reads    none\n"},
	} {
		s := stage.New()
		s.Width = 200
		if msg := s.Do("help(" + script + ")"); msg != "" {
			t.Fatal(msg)
		}
		for _, want := range wants {
			if !strings.Contains(s.Printed.String(), want) {
				t.Errorf("help(%s) does not say %q:\n%s", script, want, s.Printed)
			}
		}
	}
}

// TestHelpHasNoMarks: help is no Markdown.
func TestHelpHasNoMarks(t *testing.T) {
	e := &builtins.Env{Width: 200}
	terms, _ := help.Terms()
	for _, entry := range builtins.Entries() {
		terms = append(terms, entry.Name)
	}
	for _, name := range terms {
		if text, err := help.On(e, starlark.String(name)); err != nil || strings.Contains(text, "`") {
			t.Errorf("help(%q): %v\n%s", name, err, text)
		}
	}
}

// TestTermsAreTrue holds sentences of the glossary that were false once against the bench.
func TestTermsAreTrue(t *testing.T) {
	stage.MustDo(t, `
oneshot((0, 0), "+x", ticks=3, on=True, name="o")
run()
expect_equal(why("o", show=False).stimulus, None)
fresh()
t = tray((0, 0), keep=2, name="t")
fill(t, 1)
run()
expect_equal(why("t", show=False).stimulus, None)
`)
	for word, want := range map[string][]string{
		"stimulus": {"unless it began with what was posed or filled"},
		"told":     {"nudged", "when its slug lands", "tokens"},
	} {
		text, _ := help.On(&builtins.Env{Width: 500}, starlark.String(word))
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("help(%q) does not say %q", word, w)
			}
		}
	}
}
