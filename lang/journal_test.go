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

// told has a session with a journal do commands, and gives the journal.
func told(t *testing.T, dir string, commands ...string) (*Session, *bytes.Buffer) {
	t.Helper()
	s, j := newSession(t, Config{Seed: 7, Dir: dir}), new(bytes.Buffer)
	s.Journal(j, dir)
	for _, c := range commands {
		s.Command(context.Background(), c)
	}
	return s, j
}

// resumed is a fresh session that resumes a journal, and what it says.
func resumed(t *testing.T, dir, journal string) (*Session, string, bool) {
	t.Helper()
	p, err := ReadJournal(strings.NewReader(journal))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	s := newSession(t, Config{Seed: p.Seed, Dir: dir, Out: &out})
	all, err := s.Resume(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	return s, out.String(), all
}

// TestResumePages: what was looked up is not shown again, through a pager at that, while a conversation is brought back.
func TestResumePages(t *testing.T) {
	dir, pages := t.TempDir(), 0
	_, j := told(t, dir, `help("link")`, `table([["a"], [1]])`, `lamp?`, `x = 2`)
	p, err := ReadJournal(strings.NewReader(j.String()))
	if err != nil {
		t.Fatal(err)
	}
	s := newSession(t, Config{Dir: dir, Page: func(string) { pages++ }})
	if _, err := s.Resume(context.Background(), p); err != nil || pages > 0 {
		t.Errorf("%d pages, %v", pages, err)
	}
	if s.Command(context.Background(), `help("link")`); pages != 1 {
		t.Errorf("%d pages afterwards", pages)
	}
}

// TestResume: names and bench come back as they were, whatever failed or was taken back meanwhile, and the commands can be undone.
func TestResume(t *testing.T) {
	dir := t.TempDir()
	was, j := told(t, dir, `k = key((0, 0), name="quay")`, `l = lamp((1, 0), name="l")`, `press(k)`, `run()`, `nope()`, `xs = [1, 2]`, `undo()`, `n = rand(100)`,
		`3 + 4`, `m = _ + 1`, `export("e.csv")`, `def f():
    return n`, `press(k) or fail("no")`)
	if err := os.WriteFile(filepath.Join(dir, "e.csv"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	is, said, all := resumed(t, dir, j.String())
	if !all || !strings.HasPrefix(said, "resumed: 9 commands, now 1.0") || strings.Count(said, "\n") != 1 {
		t.Errorf("%v %q", all, said)
	}
	if a, b := was.env.Bench.Fingerprint(), is.env.Bench.Fingerprint(); a != b {
		t.Errorf("another bench: %v, %v", a, b)
	}
	for _, name := range []string{"n", "m", "k", "l", "_"} {
		if a, b := was.names.live[name], is.names.live[name]; a == nil || b == nil || a.String() != b.String() {
			t.Errorf("%s was %v, is %v", name, a, b)
		}
	}
	if is.names.live.Has("xs") {
		t.Error("what was taken back came back")
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "e.csv")); string(text) != "mine" {
		t.Errorf("a file was written again: %q", text)
	}
	if err := is.Command(context.Background(), "undo()"); err != nil || is.names.live.Has("f") {
		t.Errorf("undo after resume: %v", err)
	}
}

// TestResumeSays: what cannot be repeated is named, the rest comes back.
func TestResumeSays(t *testing.T) {
	dir := t.TempDir()
	_, j := told(t, dir, `a = 1`)
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	s, j2 := told(t, dir, `a = 1`, `load("./mine.star", "b")`)
	if err := os.WriteFile(filepath.Join(dir, "mine.star"), []byte("b = 2\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s.Command(context.Background(), `load("./mine.star", "b")`)
	s.Command(stopped, `c = 3`)
	s.Command(context.Background(), `d = a + b`)
	os.Remove(filepath.Join(dir, "mine.star"))
	j2.WriteString(`{"runs":"while True: pass"}` + "\n" + `{"kept":3,"src":"e = `)
	is, said, all := resumed(t, dir, j2.String())
	for _, want := range []string{"resumed: 1 command,", "load(\"./mine.star\", \"b\"): ", "interrupted at 0.0.0: c = 3", "d = a + b: b is not defined", "running when the shell ended: while True"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in %s", want, said)
		}
	}
	if all || !is.names.live.Has("a") || is.names.live.Has("d") {
		t.Errorf("all %v, %s", all, said)
	}

	p, err := ReadJournal(j)
	if err != nil {
		t.Fatal(err)
	}
	cut := newSession(t, Config{Dir: dir})
	if all, err := cut.Resume(stopped, p); all || err != nil {
		t.Errorf("%v, %v", all, err)
	}
}

// TestJournalTrouble: a journal that cannot be written costs nothing; one that is damaged is refused.
func TestJournalTrouble(t *testing.T) {
	s := newSession(t, Config{})
	s.Journal(broken{}, "")
	if err := s.Command(context.Background(), "a = 1"); err != nil {
		t.Error(err)
	}
	for text, want := range map[string]string{
		"":     "no journal",
		"{\n":  "damaged",
		"{}\n": "no journal",
		`{"journal":"pulsewright","version":9}` + "\n":                                 "version 9",
		`{"journal":"pulsewright","version":1}` + "\n" + `{"kept":1,"src":"a"}` + "\n": "line 2",
	} {
		if _, err := ReadJournal(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("full") }

// TestResumeOwnsFiles: what the conversation wrote may be written again after it is resumed, once or twice; not what somebody changed since.
func TestResumeOwnsFiles(t *testing.T) {
	dir := t.TempDir()
	_, j := told(t, dir, `key((0, 0))`, `run(1)`, `export("mine.csv")`, `export("theirs.csv")`, `save("mine.star")`)
	if err := os.WriteFile(filepath.Join(dir, "theirs.csv"), []byte("changed"), 0o600); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		p, err := ReadJournal(strings.NewReader(j.String()))
		if err != nil {
			t.Fatal(err)
		}
		s := newSession(t, Config{Seed: p.Seed, Dir: dir})
		if _, err := s.Resume(context.Background(), p); err != nil {
			t.Fatal(err)
		}
		j = new(bytes.Buffer)
		s.Journal(j, dir)
		for command, wanted := range map[string]bool{`export("mine.csv")`: true, `save("mine.star")`: true, `export("theirs.csv")`: false} {
			if err := s.Command(context.Background(), command); (err == nil) != wanted {
				t.Errorf("%s: %v", command, err)
			}
		}
	}
}
