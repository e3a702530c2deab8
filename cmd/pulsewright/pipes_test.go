//go:build linux

package main

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestPipesAreRefused: whoever names a pipe where a file is read is told so at once; nobody writes into it.
func TestPipesAreRefused(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"p.star", "p_test.star", "p.json", "p.jsonl", "p.csv"} {
		if err := syscall.Mkfifo(filepath.Join(dir, name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	const box = "search(task((0, 0), (1, 0), [4, 9], lambda n: 1), ((0, 0), (1, 1)), ['wire'], "
	for _, args := range [][]string{{"run", "p.star"}, {"run", "--untrusted", "p.star"}, {"test", "p_test.star"}, {"lesson", "./p.star"}, {"lesson", "check", "p.star"},
		{"lesson", "results", "p.json"}, {"gather", "p.jsonl"}, {"-c", "load('./p.star', 'x')"}, {"-c", "read_table('./p.csv')"}, {"-c", "differ('p.json')"}, {"-c", box + "resume='p.jsonl')"}} {
		ctx, cancel := context.WithTimeout(context.Background(), patienceOfTests)
		c := exec.CommandContext(ctx, "pulsewright", args...)
		c.Dir, c.Env, c.WaitDelay = dir, append(os.Environ(), "XDG_STATE_HOME="+dir), time.Second
		said, err := c.CombinedOutput()
		cancel()
		var failed *exec.ExitError
		if ctx.Err() == context.DeadlineExceeded || !errors.As(err, &failed) || !strings.Contains(string(said), "p") || strings.Contains(string(said), "internal error") {
			t.Errorf("%q: %v, %q", args, err, said)
		}
	}
}
