//go:build linux

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestKilledWhileWriting: however a process ends while it writes, the old file is there as it was, and nothing else. Where files have names from the beginning
// one that is killed leaves what it wrote, and the next that writes the file a day later removes that.
func TestKilledWhileWriting(t *testing.T) {
	command, err := exec.LookPath("pulsewright")
	if err != nil {
		t.Fatal(err)
	}
	const script = "t = table([[i, 'quay %d' % i] for i in range(20000)])\nfor i in range(1000): t.save('old.csv', over=True)"
	once := exec.Command(command, "-c", strings.Replace(script, "range(1000): ", "range(1): ", 1))
	once.Dir = t.TempDir()
	if said, err := once.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	whole, err := os.ReadFile(filepath.Join(once.Dir, "old.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, signal := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGKILL} {
		t.Run(signal.String(), func(t *testing.T) {
			if names := killed(t, command, script, string(whole), signal, ""); len(names) != 1 {
				t.Errorf("it left %q", names)
			}
		})
		t.Run(signal.String()+", named", func(t *testing.T) {
			names := killed(t, command, script, string(whole), signal, "NAMED_FILES=1")
			if signal != syscall.SIGKILL {
				if len(names) != 1 {
					t.Errorf("it left %q", names)
				}
				return
			}
			if len(names) != 2 || !strings.HasSuffix(names[0], ".part") {
				t.Fatalf("it left %q, want a file that is not whole", names)
			}
			for _, old := range []bool{false, true} {
				if old {
					day := time.Now().Add(-25 * time.Hour)
					if err := os.Chtimes(names[0], day, day); err != nil {
						t.Fatal(err)
					}
				}
				next := exec.Command(command, "-c", "table([[1]]).save('old.csv', over=True)")
				next.Dir, next.Env = filepath.Dir(names[0]), append(os.Environ(), "NAMED_FILES=1")
				if said, err := next.CombinedOutput(); err != nil {
					t.Fatalf("%v: %s", err, said)
				}
				if _, err := os.Stat(names[0]); (err == nil) == old {
					t.Errorf("after the next one (a day later: %v): %v", old, err)
				}
			}
		})
	}
}

// killed ends a process by a signal while it writes, and gives what files are there then.
func killed(t *testing.T, command, script, whole string, signal syscall.Signal, env string) (names []string) {
	dir := t.TempDir()
	c := exec.Command(command, "-c", script)
	c.Dir, c.Env = dir, append(os.Environ(), env)
	var said bytes.Buffer
	c.Stderr = &said
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	defer c.Wait()
	defer c.Process.Kill()
	for end := time.Now().Add(patienceOfTests); ; {
		if time.Now().After(end) {
			c.Process.Kill()
			c.Wait()
			t.Fatalf("it was never seen to write; it said %q", said.String())
		}
		c.Process.Signal(syscall.SIGSTOP)
		if writes(c.Process.Pid, dir, len(whole)) {
			break
		}
		c.Process.Signal(syscall.SIGCONT)
		time.Sleep(time.Millisecond)
	}
	old := filepath.Join(dir, "old.csv")
	os.Remove(old)
	if err := os.WriteFile(old, []byte("old\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c.Process.Signal(signal)
	c.Process.Signal(syscall.SIGCONT) // whoever is killed stays so
	c.Wait()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, filepath.Join(dir, e.Name()))
	}
	text, _ := os.ReadFile(old)
	if now := string(text); now != "old\n" && (signal == syscall.SIGKILL || now != whole) { // what handles a signal runs beside what writes
		t.Errorf("the old file has %d bytes now: %.50q", len(text), text)
	}
	return names
}

// writes says whether a process that stands still has a file open in a folder, with some of the text in it but not all.
func writes(pid int, dir string, whole int) bool {
	for end := time.Now().Add(time.Second); ; { // it stands still a moment after it is told to
		stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		if err != nil {
			return false
		}
		if _, after, _ := strings.Cut(string(stat), ") "); strings.HasPrefix(after, "T") {
			break
		}
		if time.Now().After(end) {
			return false
		}
	}
	fds, _ := filepath.Glob(fmt.Sprintf("/proc/%d/fd/*", pid))
	for _, fd := range fds {
		to, _ := os.Readlink(fd)
		if info, err := os.Stat(fd); err == nil && info.Mode().IsRegular() && strings.HasPrefix(to, dir+"/") && info.Size() > 0 && info.Size() < int64(whole) {
			return true
		}
	}
	return false
}
