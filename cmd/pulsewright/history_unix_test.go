//go:build unix

package main

import (
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
