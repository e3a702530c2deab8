package lang

import (
	"bytes"
	"context"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the golden sessions in testdata")

// TestSessions plays testdata/*.repl. The file is the session, byte for byte: lines with a prompt are typed, the rest must
// come back. ^C and ^D after a prompt stand for the keys.
func TestSessions(t *testing.T) {
	files, err := filepath.Glob("testdata/*.repl")
	if err != nil || len(files) == 0 {
		t.Fatalf("no sessions: %v", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".repl"), func(t *testing.T) {
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := play(t, string(want), t.TempDir())
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("session differs (-want +got); go test ./lang -run TestSessions -update rewrites it:\n%s", diff)
			}
		})
	}
}

// play types what a session types and returns everything that was on the screen.
func play(t *testing.T, session, dir string) string {
	t.Helper()
	var screen bytes.Buffer
	s := newSession(t, Config{Out: &screen, Err: &screen, Dir: dir})
	in := &typist{screen: &screen}
	for _, line := range strings.Split(session, "\n") {
		if p := ownPrompt.FindString(line); p != "" {
			in.lines = append(in.lines, line[len(p):])
		}
	}
	ctx := func() (context.Context, context.CancelFunc) {
		return context.WithTimeout(context.Background(), 20*time.Second)
	}
	if err := s.Interact(ctx, in); err != nil {
		t.Fatal(err)
	}
	return screen.String()
}

// typist is a LineReader that types prepared lines.
type typist struct {
	lines  []string
	screen *bytes.Buffer
	kept   []string // what a history would hold
}

func (ty *typist) ReadLine(prompt, _ string) (string, error) {
	if len(ty.lines) == 0 {
		return "", io.EOF
	}
	line := ty.lines[0]
	ty.lines = ty.lines[1:]
	ty.screen.WriteString(strings.TrimRight(prompt+line, " ") + "\n")
	switch line {
	case "^C":
		return "", ErrInterrupt
	case "^D":
		return "", io.EOF
	}
	return line, nil
}

func (ty *typist) Keep(chunk string) { ty.kept = append(ty.kept, chunk) }

func newSession(t testing.TB, cfg Config) *Session {
	t.Helper()
	if cfg.Dir == "" {
		cfg.Dir = t.TempDir()
	}
	s, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}
