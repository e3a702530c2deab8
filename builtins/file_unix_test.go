//go:build unix

package builtins_test

import (
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"pulsewright/builtins/stage"
)

// TestNoFiles: a pipe is nothing to write to, and a name must be one that can be shown.
func TestNoFiles(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if err := syscall.Mkfifo(filepath.Join(dir, "pipe.csv"), 0o644); err != nil {
		t.Fatal(err)
	}
	for script, want := range map[string]string{
		`export("pipe.csv")`:            "\"pipe.csv\" is a pipe or a device; want the path of a file",
		`export("pipe.csv", over=True)`: "\"pipe.csv\" is a pipe or a device; want the path of a file",
		`export("a\x1b[2Jb.csv")`:       `"a\x1b[2Jb.csv" has a control character in it; want a name that can be shown`,
		`export("quay\u202evsc.csv")`:   `has a format character in it; want a name that can be shown`,
		`export("qu\u200day.csv")`:      `has a format character in it; want a name that can be shown`,
		`export("quay\u2028.csv")`:      `has a separator of lines in it; want a name that can be shown`,
		`export("岸"[:1] + "quay.csv")`:  `has a byte that is not UTF-8 in it; want a name that can be shown`,
		`table([[1]]).save("a\nb.csv")`: `"a\nb.csv" has a control character in it; want a name that can be shown`,
	} {
		if msg := s.Do(script); !strings.Contains(msg, want) {
			t.Errorf("%s: got %s, want %s", script, msg, want)
		}
	}
}

// TestFullDisk: where there is no room for the new text the old one stays, and nothing else is left.
func TestFullDisk(t *testing.T) {
	s := stage.New()
	dir := stage.InFolder(t, s)
	if msg := s.Do(`table([[1]]).save("t.csv")`); msg != "" {
		t.Fatal(msg)
	}
	was := stage.Read(t, dir, "t.csv")
	smallFiles(t, 1000)
	msg := s.Do(`table([["quay" * 1000]]).save("t.csv")`)
	if !strings.Contains(msg, "\"t.csv\": ") {
		t.Errorf("got %q", msg)
	}
	if got := stage.Read(t, dir, "t.csv"); got != was {
		t.Errorf("the file is %q", got)
	}
	if names, _ := filepath.Glob(filepath.Join(dir, "*")); len(names) != 1 {
		t.Errorf("left behind: %q", names)
	}
	if names, _ := filepath.Glob(filepath.Join(dir, ".*.part")); len(names) != 0 {
		t.Errorf("left behind: %q", names)
	}
}

// smallFiles keeps this process from writing files of more than so many bytes, until the test has ended.
func smallFiles(t *testing.T, bytes uint64) {
	var was syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &was); err != nil {
		t.Fatal(err)
	}
	signal.Ignore(syscall.SIGXFSZ)
	now := was
	now.Cur = bytes
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &now); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &was); err != nil {
			t.Error(err)
		}
		signal.Reset(syscall.SIGXFSZ)
	})
}
