//go:build unix

package lang

import (
	"context"
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
