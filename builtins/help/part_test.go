package help_test

import (
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// TestHelpOfAPart: help of a part says what this part is and reads, not what its kind usually does; state() says the same.
func TestHelpOfAPart(t *testing.T) {
	for script, wants := range map[string][]string{
		`link((0, 0), "+y", pads=[(1, 0, 0), (0, 3, 0)])`:       {"reads    nothing at (1, 0) and (0, 3) far off\n", "pads=[(1, 0), (0, 3)], far=None"},
		`link((5, 0), "+y")`:                                    {"and (5, -2) far off\n", "placing  link(at=(5, 0), facing=\"+y\", out=False, pads=None, far=\"-y\")\n"},
		`link((5, 0), "+y", far="+x")`:                          {"and (7, 0) far off\n", "far=\"+x\""},
		`frame(at=(9, 0), x="+y").link((0, 0), "+x", far="+x")`: {"and (9, 2) far off\n"},
		`link()`: {"reads    nothing\n", "told by  nothing beside it, and no cord; nudge() does\n"},
		`gate((0, 0), "+x", "not", pads=[(0, 2, 0)])`: {"reads    nothing at (0, 2) far off\n"},
		`battery((0, 0))`: {"reads    nothing\n"},
		`oneshot((0, 0), "+x", ticks=2, name="bell")`:                {"placing  oneshot(at=(0, 0), facing=\"+x\", ticks=2, on=False, pads=None, name=\"bell\")\n", "reacts   in zero steps, and goes off after its ticks\n"},
		`[key((0, 0)), lamp((1, 0)), lamp((2, 0), name="far")][1]`:   {"reads    lamp far at (2, 0): does not feed this way; key at (0, 0): dead; nothing at"},
		`[tray((0, 0), 3, 5), meter((1, 0), "+x"), wire((2, 0))][1]`: {"reads    tray at (0, 0): 3 tokens\n", "feeds    not now wire (2, 0)\n"},
	} {
		s := stage.New()
		s.Width = 300
		if msg := s.Do("p = " + script + "\nhelp(p)"); msg != "" {
			t.Fatal(msg)
		}
		helped := s.Printed.String()
		s.Printed.Reset()
		if msg := s.Do("print(state(p))"); msg != "" {
			t.Fatal(msg)
		}
		for _, want := range wants {
			if !strings.Contains(helped, want) {
				t.Errorf("help(%s) does not say %q:\n%s", script, want, helped)
			}
		}
		for line := range strings.Lines(s.Printed.String()) {
			if strings.HasPrefix(line, "  ") && !strings.Contains(helped, line) {
				t.Errorf("help(%s) does not say what state() does: %q\n%s", script, line, helped)
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

// A part's name says as much as the part, unless it means something else.
func TestHelpOfAName(t *testing.T) {
	s := stage.New()
	if msg := s.Do(`bell = oneshot((0, 3), "+x", ticks=2, name="bell"); lamp((9, 9), name="fire"); help(bell)`); msg != "" {
		t.Fatal(msg)
	}
	want := s.Printed.String()
	s.Printed.Reset()
	if msg := s.Do(`help("bell")`); msg != "" || s.Printed.String() != want || !strings.Contains(want, "ticks=2") {
		t.Errorf("%s%s\nwant %s", msg, s.Printed, want)
	}
	s.Printed.Reset()
	if msg := s.Do(`help("fire")`); msg != "" || !strings.HasPrefix(s.Printed.String(), "fire(") {
		t.Errorf("%s%s", msg, s.Printed)
	}
}
