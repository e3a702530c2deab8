package builtins

import (
	"os"
	"testing"
)

// runPiece runs a self-checking script of testdata.
func runPiece(t *testing.T, file string) *scene {
	t.Helper()
	src, err := os.ReadFile("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	s := newScene()
	dir, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { dir.Close() })
	s.Dir = dir
	if msg := s.do(string(src)); msg != "" {
		t.Errorf("%s: %s\n%s", file, msg, s.out)
	}
	return s
}

// TestExpandable: designs that are expandable, that fail at a known size, and that fail only when large.
func TestExpandable(t *testing.T) { runPiece(t, "expandable.star") }
