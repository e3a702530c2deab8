package lang

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var errDies = errors.New("it dies")

// dying is a typist whose shell dies behind the last line.
type dying struct{ typist }

func (d *dying) ReadLine(prompt, prefill string) (string, error) {
	if len(d.lines) == 0 {
		return "", errDies
	}
	return d.typist.ReadLine(prompt, prefill)
}

// TestDraft: the rows of a block that were entered are in the journal until the block runs or is given up.
func TestDraft(t *testing.T) {
	for typed, want := range map[string]string{
		"x = 1":                         "",
		"def f():":                      "def f():",
		"x = 1|def f():|    y = [|":     "def f():\n    y = [",
		"def f():|    return 1||":       "",
		"def f():|^C":                   "",
		"def f():|^C|if x:":             "if x:",
		"def f():|    return 1||f()|[1": "[1",
	} {
		s, j := newSession(t, Config{}), new(bytes.Buffer)
		s.Journal(j, "")
		ctx := func() (context.Context, context.CancelFunc) { return context.WithCancel(context.Background()) }
		if err := s.Interact(ctx, &dying{typist{lines: strings.Split(typed, "|"), screen: new(bytes.Buffer)}}); err != errDies {
			t.Fatal(err)
		}
		p, err := ReadJournal(bytes.NewReader(j.Bytes()))
		if err != nil || p.Draft != want {
			t.Errorf("%q: %q, %v; want %q", typed, p.Draft, err, want)
		}
		if p.Empty() != !s.Said() {
			t.Errorf("%q: said %v, but empty %v", typed, s.Said(), p.Empty())
		}
		var out bytes.Buffer
		again, k := newSession(t, Config{Out: &out}), new(bytes.Buffer)
		again.HandBack(p, &dying{})
		again.Journal(k, "")
		if q, err := ReadJournal(k); err != nil || q.Draft != want || strings.Contains(out.String(), "not run yet when the shell ended:\n    ") != (want != "") {
			t.Errorf("%q: then %q, %v; it said %q", typed, q.Draft, err, out.String())
		}
	}
}

// TestResumeChanged: what loaded files say now is used and said, and so is the folder if it is another.
func TestResumeChanged(t *testing.T) {
	dir := t.TempDir()
	writeFiles(t, dir, "l1.star", "a = 1\n", "l2.star", "b = 1\n")
	_, j := told(t, dir, `load("./l1.star", "a")`, `load("./l2.star", "b")`)
	if _, said, _ := resumed(t, dir, j.String()); strings.Contains(said, "changed") || strings.Contains(said, dir) {
		t.Errorf("nothing was changed: %s", said)
	}
	if err := os.WriteFile(filepath.Join(dir, "l1.star"), []byte("a = 2\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	p, err := ReadJournal(bytes.NewReader(j.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	p.Moved = true
	var out bytes.Buffer
	s := newSession(t, Config{Dir: dir, Out: &out})
	if _, err := s.Resume(context.Background(), p); err != nil {
		t.Fatal(err)
	}
	if said := out.String(); said != "resumed: 2 commands, now 0.0.0, in "+dir+"\nl1.star was changed since it was loaded, and is loaded as it is now\n" {
		t.Error(said)
	}
}
