package play

import (
	"fmt"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// TestMarks: a film stops at the first turn at or after each mark, where its caption stands above the story; on a pipe and in a page, too.
func TestMarks(t *testing.T) {
	for at, want := range map[string]string{
		"1": "[1]", "[2]": "[3]", "(1, 1)": "[2]", "[1, (1, 1), (2, \"it goes home\")]": "[1 2 3]", "[(1, \"one\"), (0, \"two\")]": "[1]", "(1, \"the quay\")": "[1]",
		"[(e, \"an event\") for e in events(what=\"home\")]": "[4]", "[((2, 0), \"a step\"), now()]": "[3 4]", "[]": "[]",
	} {
		s := stage.MustDo(t, small+"press(k)\nrun()")
		f := caught(t, s, "play(at="+at+")")[0]
		marked := []int{}
		for n := range f.frames {
			if f.Marked(n) {
				marked = append(marked, n)
			}
		}
		if got := fmt.Sprint(marked); got != want {
			t.Errorf("at=%s marks %s, want %s", at, got, want)
		}
	}
	s := stage.New()
	dir := stage.InFolder(t, s)
	if msg := s.Do(small + "press(k)\nplay(at=[(1, \"the <quay>\\nis pressed\"), 2])\nexport(\"play.html\", at=[(1, \"the <quay>\\nis pressed\"), 2])"); msg != "" {
		t.Fatal(msg)
	}
	for _, want := range []string{
		"      1    0    0  mark: the <quay> is pressed\n                    quay goes on, because it was pressed.\n",
		"      2    0    0  mark\n                    quay goes off",
	} {
		if !strings.Contains(s.Printed.String(), want) {
			t.Errorf("no %q in\n%s", want, s.Printed)
		}
	}
	page := stage.Read(t, dir, "play.html")
	for _, want := range []string{"<p>mark: the &lt;quay&gt; is pressed</p><p>quay goes on", `"mark":true`} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in the page", want)
		}
	}
	if n := strings.Count(page, `"mark":true`); n != 2 {
		t.Errorf("%d marks in the page", n)
	}
	for call, want := range map[string]string{
		`play(at="noon")`:        `play: for parameter at: got "noon", want a tick, a pair (tick, step), an instant or an event; or a pair`,
		`play(at=[(1, 2, 3)])`:   `play: for parameter at: got (1, 2, 3), want a tick`,
		`play(at=[-1])`:          `play: for parameter at: got -1, want a tick`,
		`play(at=[("x", "y")])`:  `play: for parameter at: got ("x", "y"), want a tick`,
		`play(at=9)`:             `play: for parameter at: nothing happens at 9.0.0 or later: the last turn is 2.1.0`,
		`export("a.csv", at=1)`:  `export: parameter at goes with the endings .svg and .html only`,
		`export("b.html", at=9)`: `export: for parameter at: nothing happens at 9.0.0 or later`,
	} {
		if msg := s.Do(call); !strings.HasPrefix(msg, want) {
			t.Errorf("%s: got %q, want %q", call, msg, want)
		}
	}
}

// TestNext: the next picture at which a part, or any of a row or a frame, changes.
func TestNext(t *testing.T) {
	s := stage.MustDo(t, small+"row = wire((0, -1), (0, -2), name=\"row\")\npress(k)")
	f := caught(t, s, "play()")[0]
	for _, c := range []struct {
		part string
		n    int
		want string
	}{
		{"quay", 0, "1"}, {"quay", 1, "3"}, {"quay", 4, "quay does not change any more"}, {"pull", 0, "2"}, {"pull", 2, "4"}, {"row", 0, "1"}, {"row.1", 1, "3"},
		{"qay", 0, `no part is called "qay"; did you mean quay?`}, {"mole", 0, `no part is called "mole"`},
	} {
		n, err := f.Next(c.part, c.n)
		got := fmt.Sprint(n)
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s after picture %d: %s, want %s", c.part, c.n, got, c.want)
		}
	}
}

// small is a machine whose run has four turns.
const small = `
k = key((0, 0), hold=1, name="quay")
link((1, 0), "+y", name="pull")
lamp((1, 1), name="berth")
`

// TestQuietStretches: a long one says so, with what comes after it.
func TestQuietStretches(t *testing.T) {
	s := stage.MustDo(t, "w = wire((0, 0))\nfor at in [1, 5, 10, 500]:\n    fire(w, 1, at=at)\nplay()")
	got := s.Printed.String()
	for _, want := range []string{"»     10    0    0  4 quiet ticks were passed over.\n                    wire", "»    500    0    0  489 quiet ticks were passed over.\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	if n := strings.Count(got, "quiet"); n != 2 {
		t.Errorf("%d quiet stretches:\n%s", n, got)
	}
}
