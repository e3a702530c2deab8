package builtins_test

import (
	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"

	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestFilesAreNotLost: no word writes over a file that this session did not write, or that was changed since, unless told
// to; and each says what it wrote and where.
func TestFilesAreNotLost(t *testing.T) {
	calls := []struct{ name, call, said string }{
		{"x.vcd", `export("x.vcd"%s)`, "events"},
		{"x.svg", `export("x.svg", of=["k"]%s)`, "a timing diagram"},
		{"map.svg", `export("map.svg", what="map"%s)`, "a map"},
		{"plot.svg", `plot(table([[1, 2], [2, 3]], head=["a", "b"]), path="plot.svg"%s)`, "a plot"},
		{"method.svg", `table([[1, 2], [2, 3]], head=["a", "b"]).plot(path="method.svg"%s)`, "a plot"},
		{"t.csv", `table([[1, 2]], head=["a", "b"]).save("t.csv"%s)`, "a table of 1 row"},
		{"c.csv", `compare([line], "c.csv"%s)`, "the comparison"},
		{"s.md", `datasheet(line, "s.md"%s)`, "the data sheet"},
	}
	for _, c := range calls {
		t.Run(c.name, func(t *testing.T) {
			s := stage.New()
			dir := stage.InFolder(t, s)
			if msg := s.Do(trial.PlainFunctions + "line = design(\"line\", build, send, read, [1, 2])\nkey((30, 0), hold=1, name=\"k\")\npress(\"k\")\nrun()"); msg != "" {
				t.Fatal(msg)
			}
			call := func(more string) string { return s.Do(strings.Replace(c.call, "%s", more, 1)) }
			path := filepath.Join(dir, c.name)
			if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
				t.Fatal(err)
			}
			if msg := call(""); !strings.Contains(msg, "\""+c.name+"\" is there already, and this session did not write it; take another name, or replace it with over=True") {
				t.Errorf("over a file of mine: %q", msg)
			}
			if stage.Read(t, dir, c.name) != "mine" {
				t.Fatal("the file is lost")
			}
			s.Printed.Reset()
			if msg := call(", over=True"); msg != "" {
				t.Fatal(msg)
			}
			if !strings.HasPrefix(s.Printed.String(), "wrote "+c.name+": "+c.said+", ") {
				t.Errorf("said %q", s.Printed.String())
			}
			if msg := call(""); msg != "" {
				t.Errorf("over a file of this session: %q", msg)
			}
			if err := os.WriteFile(path, []byte("changed by me"), 0o644); err != nil {
				t.Fatal(err)
			}
			if msg := call(""); !strings.Contains(msg, "was changed since this session wrote it") {
				t.Errorf("over a file changed since: %q", msg)
			}
		})
	}
}

// TestSurveyKeepsFiles: a survey asks before its long work, and replaces a file only with replace=True.
func TestSurveyKeepsFiles(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if err := os.WriteFile(filepath.Join(dir, "why.star"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	const wrong = latchDesign + "survey(d, travel=[2], path=\"why.star\""
	text := ""
	s.Source = func(string) (string, bool) { return text, true }
	if msg := s.Do(wrong + ")"); !strings.Contains(msg, "replace it with replace=True") {
		t.Errorf("got %q", msg)
	}
	text = wrong + ", replace=True)"
	if msg := s.Do(text); msg != "" {
		t.Error(msg)
	}
	if !strings.Contains(s.Printed.String(), "wrote why.star: the smallest counterexample, ") || !strings.Contains(stage.Read(t, dir, "why.star"), "build") {
		t.Errorf("said %q", s.Printed.String())
	}
}

// TestUnfinishedFiles: what is written before it gets its name is no file of the user's either.
func TestUnfinishedFiles(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if err := os.WriteFile(filepath.Join(dir, "x.csv.part"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if msg := s.Do("fire((0, 0))\nrun()\nexport(\"x.csv\")"); msg != "" {
		t.Fatal(msg)
	}
	if stage.Read(t, dir, "x.csv.part") != "mine" {
		t.Error("the file is lost")
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 {
		t.Errorf("%d files, want 2", len(entries))
	}
}

// latchDesign holds under some neighbour orders only: the first input of a latch sets it, the second resets it.
const latchDesign = `
def build(f):
    g = f.gate((0, 0), "+z", "latch")
    return struct(set=f.wire((1, 0)), reset=f.wire((0, -1)), out=g)
def send(rig, n):
    fire(rig.set, 3)
def read(rig):
    return 1 if rig.out.state == "on" else 0
d = design("latch", build, send, read, [1])
`

// TestTableHoldsItself: a list that holds itself is refused, and nothing is written.
func TestTableHoldsItself(t *testing.T) {
	s := stage.New()
	stage.InFolder(t, s)
	msg := s.Do("x = [1]\nx.append(x)\ntable([[x]]).save(\"t.json\")")
	if !strings.Contains(msg, "a list that holds itself cannot be written down") {
		t.Error(msg)
	}
}

// TestFilesReplaced: a file that is replaced keeps its mode; what a link leads to is left alone, and so is what others put beside.
func TestFilesReplaced(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	for name, text := range map[string]string{"x.csv": "mine", "elsewhere": "mine, too"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink("elsewhere", filepath.Join(dir, "y.csv")); err != nil {
		t.Skip("no links here")
	}
	if msg := s.Do("fire((0, 0))\nrun()\nexport(\"y.csv\")"); !strings.Contains(msg, "is there already") {
		t.Errorf("over a link: %q", msg)
	}
	if msg := s.Do("export(\"x.csv\", over=True)\nexport(\"y.csv\", over=True)"); msg != "" {
		t.Fatal(msg)
	}
	if info, err := os.Lstat(filepath.Join(dir, "x.csv")); err != nil || info.Mode().Perm() != 0o600 || info.Size() < 10 {
		t.Errorf("%v, %v", info, err)
	}
	if info, err := os.Lstat(filepath.Join(dir, "y.csv")); err != nil || !info.Mode().IsRegular() || stage.Read(t, dir, "elsewhere") != "mine, too" {
		t.Errorf("the link was followed: %v, %v", info, err)
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) != 3 {
		t.Errorf("%d files, want 3", len(entries))
	}
}
