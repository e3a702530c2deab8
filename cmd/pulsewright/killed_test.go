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

// TestKilledWhileWriting: however a process ends while it writes, the old file is there as it was, and nothing else.
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
		t.Run(signal.String(), func(t *testing.T) { killed(t, command, script, string(whole), signal) })
	}
}

func killed(t *testing.T, command, script, whole string, signal syscall.Signal) {
	dir := t.TempDir()
	c := exec.Command(command, "-c", script)
	c.Dir = dir
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
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	text, _ := os.ReadFile(old)
	if len(names) != 1 {
		t.Errorf("it left %q", names)
	}
	if now := string(text); now != "old\n" && (signal == syscall.SIGKILL || now != whole) { // what handles a signal runs beside what writes
		t.Errorf("the old file has %d bytes now: %.50q", len(text), text)
	}
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
