//go:build unix

package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A pipe with nobody at its other end is not waited for.
func TestLoadPipe(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mkfifo(filepath.Join(dir, "pipe.star"), 0o644); err != nil {
		t.Skip("no pipes here:", err)
	}
	for _, name := range []string{"./pipe.star", "own/pipe.star"} {
		s := newSession(t, Config{Dir: dir, Library: []string{dir}})
		err := s.Command(context.Background(), `load("`+name+`", "x")`)
		if err == nil || !strings.Contains(err.Error(), "this is no ordinary file; want a script") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A script with something in its name that cannot be shown is not run, not loaded, and fails as a file of tests, alone.
func TestNamesOfScripts(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, name := range []string{"k\x1b[31my_test.star", "b\xffy_test.star", "t\u202ey_test.star", "quay_test.star"} {
		if err := os.WriteFile(name, []byte("def test_quay():\n    pass\n"), 0o644); err != nil {
			t.Skip("no such names here:", err)
		}
	}
	var out bytes.Buffer
	passed, failed, err := RunTests(context.Background(), Config{Out: &out}, nil, TestOptions{})
	if passed != 1 || failed != 3 || err != nil || strings.Count(out.String(), "want a name that can be shown") != 3 {
		t.Errorf("%d passed, %d failed, %v: %q", passed, failed, err, out.String())
	}
	s := newSession(t, Config{Dir: dir})
	if err := s.ExecFile(context.Background(), "b\xffy_test.star", nil); err == nil || !strings.Contains(err.Error(), `"b\xffy_test.star" has a byte that is not UTF-8 in it`) {
		t.Errorf("run: %v", err)
	}
	if err := s.Command(context.Background(), `load("./k\x1b[31my_test.star", "test_quay")`); err == nil || !strings.Contains(err.Error(), ":1:1: cannot load") || !strings.Contains(err.Error(), "has a control character in it") {
		t.Errorf("load: %v", err)
	}
}
