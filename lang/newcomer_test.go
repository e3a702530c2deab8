package lang

import (
	"bytes"
	"context"
	"io"
	"os"
	"strings"
	"testing"
)

// TestNewcomers types each row of a table on a bench of its own.
func TestNewcomers(t *testing.T) {
	table, err := os.ReadFile("testdata/newcomers.txt")
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for row := range strings.Lines(string(table)) {
		if strings.HasPrefix(row, "#") {
			continue
		}
		typed, want, ok := strings.Cut(strings.TrimPrefix(row, "|"), "| ")
		if !ok {
			t.Fatalf("%q is no row", row)
		}
		rows++
		typed = strings.NewReplacer(`\n`, "\n", `\t`, "\t").Replace(typed)
		if got := reply(t, typed); !strings.Contains(got, strings.TrimSpace(want)) {
			t.Errorf("%q gets\n%s\nwant in it: %s", typed, got, want)
		}
	}
	if rows < 40 {
		t.Errorf("%d rows", rows)
	}
}

// reply is what a command gets on a bench with a key, a row and a lamp.
func reply(t *testing.T, typed string) string {
	t.Helper()
	var screen bytes.Buffer
	s := newSession(t, Config{Out: &screen, Err: &screen, Width: func() int { return 200 }})
	ctx := context.Background()
	if err := s.Command(ctx, `key((0, 0), name="quay"); wire((0, 2), (4, 2), name="mole"); frame(name="pier").lamp((8, 8), name="light");`); err != nil {
		t.Fatal(err)
	}
	screen.Reset()
	s.Report(s.Command(ctx, typed))
	return screen.String()
}

// TestLeaving: exit and quit alone leave, with brackets or without, unless the session has a meaning for them.
func TestLeaving(t *testing.T) {
	for typed, want := range map[string]string{
		"exit\n1 + 1": "", "quit\n1 + 1": "", " exit() \n1 + 1": "", "quit()\n1 + 1": "",
		"quit = 5\nquit\n1 + 1": "5\n2\n", "print('exit')\n1 + 1": "exit\n2\n",
	} {
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out, Err: io.Discard})
		in := &typist{lines: strings.Split(typed, "\n"), screen: new(bytes.Buffer)}
		ctx := func() (context.Context, context.CancelFunc) { return context.WithCancel(context.Background()) }
		if err := s.Interact(ctx, in); err != nil || out.String() != want {
			t.Errorf("%q: %q, %v; want %q", typed, out.String(), err, want)
		}
	}
}

// TestWordsShown: every word that stands alone shows what it does, never how it is made.
func TestWordsShown(t *testing.T) {
	for _, e := range Entries() {
		if strings.Contains(e.Name, ".") || e.Name == "help" { // which runs
			continue
		}
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out})
		if err := s.Command(context.Background(), e.Name); err != nil || !strings.HasPrefix(out.String(), e.Name+": "+e.Sentence) {
			t.Errorf("%s shows %q, %v", e.Name, out.String(), err)
		}
	}
}

// TestErrorsFold: on a terminal the sentences of an error end at blanks; the line of the script stays whole.
func TestErrorsFold(t *testing.T) {
	long := "lamp((0, 0), colour='a colour that nobody has and that goes on and on to the end of the line')"
	for _, fold := range []bool{false, true} {
		var screen bytes.Buffer
		s := newSession(t, Config{Err: &screen, FoldErr: fold, Width: func() int { return 40 }})
		s.Report(s.Command(context.Background(), long))
		lines := strings.Split(screen.String(), "\n")
		for i, line := range lines {
			if len(line) > 40 && fold && !strings.Contains(line, "colour=") {
				t.Errorf("line %d is wider than 40: %q", i, line)
			}
		}
		if !strings.Contains(screen.String(), long) || fold != (len(lines) > 4) {
			t.Errorf("fold %v:\n%s", fold, screen.String())
		}
	}
}

// TestFirstSteps: what the first page of help says to type works, one line after the other, and does what it says.
func TestFirstSteps(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Width: func() int { return 200 }})
	ctx := context.Background()
	if err := s.Command(ctx, "help"); err != nil {
		t.Fatal(err)
	}
	steps := 0
	for line := range strings.Lines(out.String()) {
		typed, why, ok := strings.Cut(strings.TrimSpace(line), "  # ")
		if !ok {
			continue
		}
		steps++
		out.Reset()
		if err := s.Command(ctx, typed); err != nil {
			t.Errorf("%s: %v", typed, err)
		}
		if (typed == "run()" || strings.HasPrefix(typed, "why")) && !strings.Contains(out.String(), "lit") {
			t.Errorf("%s (%s) shows\n%s", typed, why, out.String())
		}
	}
	if steps != 5 {
		t.Errorf("%d steps", steps)
	}
}
