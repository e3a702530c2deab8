package lang

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"go.starlark.net/syntax"

	"pulsewright/builtins"
	"pulsewright/lang/source"
)

// TestParserText holds the words by which errors are known to what the parser says today.
func TestParserText(t *testing.T) {
	wantsColon := func(msg string) bool { return wants(msg, "':'") }
	for _, c := range []struct {
		text string
		is   func(msg string) bool
		not  func(msg string) bool
	}{
		{"f(1,", breaksOff, wantsBody},
		{"s = \"\"\"quay", breaksOff, gotOther},
		{"if x:\npass\n", wantsBody, breaksOff},
		{"if x = 1: pass\n", wantsColon, wantsBody},
		{"if x = 1: pass\n", gotOther, breaksOff},
		{"x = 1\n  y = 2\n", tooDeep, tooShallow},
		{"if x:\n    y = 1\n  z = 2\n", tooShallow, tooDeep},
		{"x = 1 < 2 < 3\n", chained, gotOther},
		{"x = $\n", oddCharacter, gotOther},
		{"x = 08\n", oddNumber, oddCharacter},
	} {
		_, err := source.Dialect.Parse("quay.star", c.text, 0)
		var e syntax.Error
		if !errors.As(err, &e) || !c.is(e.Msg) || c.not(e.Msg) {
			t.Errorf("%q gives %v, which is not known for what it is", c.text, err)
		}
	}
}

// TestLeadsOut holds the words of an os.Root about a path that leads out of it.
func TestLeadsOut(t *testing.T) {
	root, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	if err := os.Symlink("..", filepath.Join(root.Name(), "up")); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"../quay", "up/quay"} {
		if _, err := root.Open(path); !builtins.LeadsOut(err) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, err := root.Open("escapes"); builtins.LeadsOut(err) {
		t.Errorf("a file that is not there leads out: %v", err)
	}
}
