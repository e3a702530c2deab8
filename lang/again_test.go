package lang

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// sheetPage is what a data sheet of a session's folder says about how to repeat it.
type sheetPage struct {
	text  string
	again struct{ Command, Script, Where, Why string }
}

func readSheet(t *testing.T, dir string) (p sheetPage) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "page.json"))
	if err != nil {
		t.Fatal(err)
	}
	var page struct {
		Again *struct{ Command, Script, Where, Why string }
	}
	if err := json.Unmarshal(text, &page); err != nil || page.Again == nil {
		t.Fatalf("%v\n%s", err, text)
	}
	p.text, p.again = string(text), *page.Again
	return p
}

// TestSheetOfAConversation: the page of a design that was typed in the shell holds the script that makes the same page,
// byte for byte, what failed and what was undone left out, and what a value was kept of.
func TestSheetOfAConversation(t *testing.T) {
	dir := t.TempDir()
	s, err := New(Config{Dir: dir, Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, chunk := range []string{
		"widths = [1, 2]",
		"widths.append(9)",
		"undo()",
		"def build(f):\n    w = f.wire((0, 0), (3, 0))\n    return struct(first=w.first, out=probe(w.last))\n",
		"nonsense(3)",
		"rules(travel=3)",
		"falls(\"late\")",
		"design(\"typed\", build, lambda rig, n: fire(rig.first, n), lambda rig: rig.out.width, widths)",
		"x = _",
		"datasheet(x, \"page.json\", runs=50)",
	} {
		if err := s.Command(context.Background(), chunk); err != nil && !strings.HasPrefix(chunk, "nonsense") {
			t.Fatal(err)
		}
	}
	page := readSheet(t, dir)
	if page.again.Command != "pulsewright --seed 3 -" || !strings.Contains(page.again.Script, "datasheet(x, ") || strings.Contains(page.again.Script, "nonsense") {
		t.Errorf("%+v", page.again)
	}
	again := t.TempDir()
	r, err := New(Config{Dir: again, Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if err := r.Exec(context.Background(), "<stdin>", page.again.Script); err != nil {
		t.Fatal(err)
	}
	if got := readSheet(t, again); got.text != page.text {
		t.Errorf("the script\n%s\nmakes\n%s\nnot\n%s", page.again.Script, got.text, page.text)
	}
}

// TestSheetThatCannotBeRepeated: where no command makes a page again, it says why.
func TestSheetThatCannotBeRepeated(t *testing.T) {
	const line = "def build(f):\n    w = f.wire((0, 0), (3, 0))\n    return struct(first=w.first, out=probe(w.last))\n\n" +
		"d = design(\"l\", build, lambda rig, n: fire(rig.first, n), lambda rig: rig.out.width, [1])\n"
	const page = "datasheet(d, \"page.json\", runs=50)"
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	given := write("given.star", line+"x = arg(\"x\", 1)\n")
	write("line.star", line)
	beside := write("beside.star", "load(\"./line.star\", \"d\")\n")
	for _, c := range []struct {
		want string
		run  func(s *Session) error
	}{
		{"it was made in a conversation in which a script was given arguments: x=2", func(s *Session) error {
			return s.ExecFile(context.Background(), given, []string{"x=2"})
		}},
		{"it was made in a conversation in which a script was run that loads files beside it", func(s *Session) error {
			return s.ExecFile(context.Background(), beside, nil)
		}},
		{"it was made in a conversation in which a command was interrupted or a script broke off", func(s *Session) error {
			_ = s.Exec(context.Background(), "<stdin>", line+"fail(\"no\")\n")
			return nil
		}},
	} {
		out := t.TempDir()
		s, err := New(Config{Dir: out})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		if err := c.run(s); err != nil {
			t.Fatal(err)
		}
		if err := s.Command(context.Background(), page); err != nil {
			t.Fatal(err)
		}
		if got := readSheet(t, out).again; got.Why != c.want || got.Command != "" {
			t.Errorf("got %+v, want %s", got, c.want)
		}
	}
}
