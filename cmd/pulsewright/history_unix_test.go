//go:build unix

package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A history that is no file is a warning, and nobody waits for it.
func TestHistoryPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
	var warnings []string
	openHistory(path, nil, func(text string) { warnings = append(warnings, text) }).add("a = 1")
	if len(warnings) != 1 || !strings.Contains(warnings[0], "is no file") {
		t.Errorf("warned %q", warnings)
	}
}

// TestHistoryLink: a link in its place is not followed, neither to be read nor to be written to.
func TestHistoryLink(t *testing.T) {
	dir := t.TempDir()
	path, other := filepath.Join(dir, "history"), filepath.Join(dir, "other")
	if err := errors.Join(os.WriteFile(other, []byte("\"a = 1\"\n"), 0o644), os.Symlink(other, path)); err != nil {
		t.Fatal(err)
	}
	var warnings []string
	h := openHistory(path, nil, func(text string) { warnings = append(warnings, text) })
	h.add("b = 2")
	text, err := os.ReadFile(other)
	info, _ := os.Stat(other)
	if err != nil || string(text) != "\"a = 1\"\n" || info.Mode().Perm() != 0o644 || len(h.chunks) != 1 || len(warnings) != 1 || !strings.Contains(warnings[0], "is a link") {
		t.Errorf("%v, %q, %v, %q, warned %q", err, text, info.Mode(), h.chunks, warnings)
	}
}
