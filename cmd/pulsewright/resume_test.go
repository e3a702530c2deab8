//go:build linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A shell that was killed, or lost its window, is brought back whole: names and bench. The file that held it is then replaced by the new one.
func TestTerminalResume(t *testing.T) {
	t.Parallel()
	for _, signal := range []syscall.Signal{syscall.SIGKILL, syscall.SIGHUP, syscall.SIGTERM} {
		s := window{}.start(t)
		s.until(prompt, "n = 40\r")
		s.until(prompt, "k = key((0, 0), name=\"quay\")\r")
		s.until(prompt, "n += 1\r")
		s.until(prompt, "run(3)\r")
		s.fresh("3.0 » ")
		s.cmd.Process.Signal(signal)
		s.ends()

		again := window{env: []string{"XDG_STATE_HOME=" + s.state}}.start(t, "--resume")
		again.wait("resumed: 4 commands, now 3.0")
		again.until("3.0 » ", "n + 1, k.kind\r")
		again.wait(`(42, "key")`)
		again.fresh("3.0 » ")
		again.leave()
		if files := journals(filepath.Join(s.state, "pulsewright", "journals")); len(files) != 1 {
			t.Errorf("%v: %d journals", signal, len(files))
		} else if info, err := os.Stat(files[0]); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%v, %v", info, err)
		}
	}
}

// What the script was given is there still after a second kill, and however often.
func TestTerminalResumeAgain(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "init.star"), []byte(`N = int(arg("n", 3))`), 0o600); err != nil {
		t.Fatal(err)
	}
	s := window{dir: dir}.start(t, "run", "-i", "init.star", "n=4")
	state := []string{"XDG_STATE_HOME=" + s.state}
	for range 2 {
		s.fresh(prompt)
		s.cmd.Process.Kill()
		s.ends()
		s = window{env: state}.start(t, "--resume")
		s.wait("resumed: ")
		s.wait(filepath.Base(dir)) // the shell was begun elsewhere
		s.until(prompt, "N\r")
		s.shows("4")
	}
	s.fresh(prompt)
	s.leave()
}

// What was being typed comes back with Up: each row of a block that was entered, and where the shell could still write it the last one too.
func TestTerminalResumeDraft(t *testing.T) {
	t.Parallel()
	for signal, want := range map[syscall.Signal]string{syscall.SIGKILL: "0", syscall.SIGHUP: "42", syscall.SIGTERM: "42"} {
		s := window{}.start(t)
		s.until(prompt, "def f(n):\r")
		s.until("  : » ", "m = n + 2\r")
		s.until("  : » ", "return m")
		s.wait("return m")
		s.cmd.Process.Signal(signal)
		s.ends()
		state := []string{"XDG_STATE_HOME=" + s.state}

		s = window{env: state}.start(t, "--resume")
		s.until(prompt, "")
		s.cmd.Process.Kill() // it is not lost by a second one
		s.ends()

		s = window{env: state}.start(t, "--resume")
		s.wait("resumed: 0 commands")
		s.wait("not run yet when the shell ended, Up brings it back: def f(n): ...")
		s.until(prompt, "\x1b[A\r")
		s.until(prompt, "f(40) or 0\r")
		s.shows(want)
		s.fresh(prompt)
		s.leave()
		kept, err := os.ReadFile(filepath.Join(strings.TrimPrefix(state[0], "XDG_STATE_HOME="), "pulsewright", "history"))
		if err != nil || strings.Count(string(kept), "def f") != 1 { // since it was run
			t.Errorf("%v: %s, %v", signal, kept, err)
		}
	}
}

// A command that was running when the shell died is named, and not run again.
func TestTerminalResumeCut(t *testing.T) {
	t.Parallel()
	s := window{}.start(t)
	s.until(prompt, "n = 1\r")
	s.until(prompt, "for i in range(1 << 40): (print(\"begun\") if i == 0 else None)\r")
	s.until("  : » ", "\r")
	s.wait("begun\r\n")
	s.cmd.Process.Kill()
	s.ends()
	again := window{env: []string{"XDG_STATE_HOME=" + s.state}}.start(t, "--resume")
	again.wait("resumed: 1 command,")
	again.wait("not brought back: it was running when the shell ended: for i in")
	again.fresh(prompt)
	again.leave()
}

// Two shells at once have a journal each, and that of one that lives is not taken.
func TestTerminalResumeTwo(t *testing.T) {
	t.Parallel()
	one := window{}.start(t)
	state := []string{"XDG_STATE_HOME=" + one.state}
	two := window{env: state}.start(t)
	one.until(prompt, "who = 'one'\r")
	two.until(prompt, "who = 'two'\r")
	one.fresh(prompt)
	two.fresh(prompt)
	one.cmd.Process.Kill()
	one.ends()
	again := window{env: state}.start(t, "--resume")
	again.until(prompt, "who\r")
	again.shows(`"one"`)
	again.fresh(prompt)
	more := window{env: state}.start(t, "--resume")
	more.wait("there is no conversation to resume")
	if code := more.ends(); code != exitFailed {
		t.Errorf("exit code %d", code)
	}
	again.leave()
	two.leave()
}

// exit leaves, with 0; so does quit.
func TestTerminalExit(t *testing.T) {
	t.Parallel()
	for _, word := range []string{"exit", "quit()"} {
		s := window{}.start(t)
		s.until(prompt, word+"\r")
		if code := s.ends(); code != 0 {
			t.Errorf("%s: exit code %d", word, code)
		}
		if files := journals(filepath.Join(s.state, "pulsewright", "journals")); len(files) != 0 {
			t.Errorf("a journal of nothing: %s", strings.Join(files, " "))
		}
	}
}
