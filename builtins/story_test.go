package builtins_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"pulsewright/builtins/say"
	"pulsewright/builtins/stage"
	"pulsewright/engine"
)

// TestStories runs testdata/stories.txt: blocks of a script, flush left, and below it, indented, what it prints on an empty
// bench. -update rewrites what is printed.
func TestStories(t *testing.T) {
	const file = "testdata/stories.txt"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for block := range strings.SplitSeq(strings.TrimSpace(string(data)), "\n\n") {
		var script []string
		for line := range strings.SplitSeq(block, "\n") {
			if !strings.HasPrefix(line, "    ") {
				script = append(script, line)
			}
		}
		src := strings.Join(script, "\n")
		out.WriteString(src + "\n")
		s := stage.New()
		s.Width = 76
		if msg := s.Do(src); msg != "" {
			t.Errorf("%s\nfails: %s", src, msg)
		}
		for line := range strings.SplitSeq(strings.TrimSuffix(s.Printed.String(), "\n"), "\n") {
			if say.Columns(line) > 76 && !strings.HasPrefix(line, "[") { // lists are the script's own
				t.Errorf("%d columns: %s", say.Columns(line), line)
			}
			out.WriteString("    " + line + "\n")
		}
		out.WriteString("\n")
	}
	stage.Golden(t, file, []byte(out.String()))
}

// TestStoriesCoverTheReasons: testdata/stories.txt has a story for every reason.
func TestStoriesCoverTheReasons(t *testing.T) {
	data, err := os.ReadFile("testdata/stories.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range engine.Reasons() {
		if r != engine.Unknown.String() && !strings.Contains(string(data), "\n    reason: "+r+"\n") {
			t.Errorf("no story ends in %q", r)
		}
	}
}

// TestWhyNotUnknown: on a bench without a history, as in a trial, whynot says that it does not know.
func TestWhyNotUnknown(t *testing.T) {
	s := stage.New()
	s.Bench.KeepHistory(false)
	if msg := s.Do(`
link((0, 0), "+y", name="pull")
fire((5, 0), 3)
run()
n = whynot("pull")
expect_equal((n.reason, n.told, n.known), ("unknown", None, False))
battery((1, 0))
expect_equal(whynot("pull", show=False).reason, "untold")
`); msg != "" {
		t.Error(msg)
	}
	if want := "link pull did not act since tick 1; whether it was told is not known, for the\n  history does not reach back so far\n"; s.Printed.String() != want {
		t.Errorf("got  %q\nwant %q", s.Printed, want)
	}
}

// TestStoryCannotDriveTheTerminal: a name that commands a terminal, which only a program can give, does not get there.
func TestStoryCannotDriveTheTerminal(t *testing.T) {
	s := stage.New()
	evil := "quay\x1b]0;gone\x07\u202e\x9b2J\r\n"
	key, err := s.Bench.Place(engine.Cell{}, engine.Part{Kind: engine.Key, Name: evil})
	if err != nil {
		t.Fatal(err)
	}
	for x := range int32(6) {
		if _, err := s.Bench.Place(engine.Cell{X: 1 + x}, engine.Part{Kind: engine.Gate, Op: engine.Buf, Name: fmt.Sprint(evil, x)}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Bench.Place(engine.Cell{X: 5, Y: 9}, engine.Part{Kind: engine.Shuttle, Slug: engine.Plug, Name: evil + "s"}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Bench.Place(engine.Cell{X: 7, Y: 9}, engine.Part{Kind: engine.Jack, Name: evil + "j"}); err != nil {
		t.Fatal(err)
	}
	if err := s.Bench.Press(key, 0); err != nil {
		t.Fatal(err)
	}
	if msg := s.Do(`
watch((0, 0), (5, 0), (5, 9))
run()
watch()
print(why((6, 0)))
print(why((6, 0))[0])
for p in parts():
    print(whynot(p))
release((0, 0), at=9)
turn()
print(armed())
battery((4, 9))
print(armed())
print(watch())
`); msg != "" {
		t.Fatal(msg)
	}
	for _, r := range s.Printed.String() {
		if r != '\n' && (r < ' ' || r >= 0x7f && r < 0xa0 || r == '\u202e') {
			t.Fatalf("%q reaches the terminal:\n%q", r, s.Printed)
		}
	}
	if !strings.Contains(s.Printed.String(), "quay?]0;gone") {
		t.Error("the names are not there at all")
	}
}

// TestWatchFollowsTime: the list is printed after every word that lets time pass, also after one that failed, and forgets what is
// gone.
func TestWatchFollowsTime(t *testing.T) {
	s := stage.MustDo(t, "w = wire((0, 0))\nl = link((1, 0), \"+y\", name=\"pull\")\nwatch(w, l)\nfire(w, 2)")
	for _, word := range []string{"turn()", "step()", "tick()", "back(1)", "run()", "run(ticks=1)"} {
		s.Printed.Reset()
		if msg := s.Do(word); msg != "" {
			t.Fatal(msg)
		}
		if n := strings.Count(s.Printed.String(), "pull"); n != 1 {
			t.Errorf("%s prints the list %d times:\n%s", word, n, s.Printed)
		}
	}
	s.Printed.Reset()
	s.Do("remove(l)\nfire(w)\nrun()")
	if strings.Contains(s.Printed.String(), "pull") || !strings.Contains(s.Printed.String(), "wire") {
		t.Errorf("after remove: %s", s.Printed)
	}
	s.Printed.Reset()
	s.Do("fresh()\nfire((0, 0))\nrun()")
	if s.Printed.Len() > 0 {
		t.Errorf("after fresh: %s", s.Printed)
	}
}

// TestSteppingSaysWhatChanged: a turn without an event, and going back, say so where a step log is kept.
func TestSteppingSaysWhatChanged(t *testing.T) {
	s := stage.New()
	s.Moved = func() {}
	for _, c := range []struct{ script, want string }{
		{"k = key((0, 0), name=\"quay\")\nlamp((1, 0), name=\"board\")\npress(k)\nturn()", ""},
		{"press(k)\nturn()", "1 turn, at 2.0.0: nothing changed\n"},
		{"turn()", "quiet at 2.0.0: nothing to do\n"},
		{"back()", "back to 1.0.0\n"},
		{"back()", "back to 0.0.0: no longer quay on, board lit\n"},
		{"back()", "at 0.0.0: nothing to go back to\n"},
		{"run()\nback(5)", "back by 1 turn only, to 0.0.0: the history goes no further\n"},
		{"log(False)\nrun()\nback()", ""},
	} {
		s.Printed.Reset()
		if msg := s.Do(c.script); msg != "" {
			t.Fatal(msg)
		}
		if s.Printed.String() != c.want {
			t.Errorf("%s\ngot  %q\nwant %q", c.script, s.Printed, c.want)
		}
	}
}
