//go:build linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestTerminalLesson takes the first lesson from start to finish in a real terminal: a wrong prediction, a hint, leaving and coming back,
// an exercise that does not pass and then does.
func TestTerminalLesson(t *testing.T) {
	state := "XDG_STATE_HOME=" + t.TempDir()
	s := window{env: []string{state}}.start(t, "lesson")
	if before := s.wait("lesson 1 of 16: Ticks, steps and turns"); strings.Contains(before, "pulsewright:") {
		t.Errorf("a lesson begins with a warning: %q", before)
	}
	s.wait("that is counted in") // the text, and what it is about, fit on one screen each
	s.wait("Enter goes on")
	s.typ("\r")
	s.wait("z = 0")
	s.wait("Enter goes on")
	s.typ("\r")
	s.wait("question 1 of 2")
	s.wait("you predict:")
	s.typ("hint\r")
	s.wait("hint 1 of 2")
	s.wait("you predict:")
	s.typ("2\r")
	s.wait("You predicted: 2. It was: 3.")
	s.wait("That is the second gate")
	s.wait("because key quay was pressed")
	s.wait("Enter goes on")
	s.typ("leave\r")
	s.wait("left; all is kept")
	if code := s.ends(); code != 0 {
		t.Errorf("ended with %d", code)
	}

	s = window{env: []string{state}}.start(t, "lesson")
	s.wait("on with question 2 of 2")
	s.wait("names: (0, 0) \"quay\"") // the last picture once more
	s.wait("Enter goes on")
	s.typ("\r")
	s.wait("0.0 »")
	s.typ("key((0, 0), name=\"quay\")\r")
	s.wait("key quay")
	s.typ("check\r")
	s.wait("Not yet.")
	s.wait("no part is called last")
	s.typ("for i in range(5): gate((1 + i, 0), \"+x\", op=\"buf\")\r\r")
	s.typ("gate((6, 0), \"+x\", op=\"buf\", name=\"last\")\r")
	s.wait("gate last")
	s.typ("press(\"quay\"); run()\r")
	s.wait("1.6 »")
	s.typ("check\r")
	s.wait("Passed at check 2.")
	s.wait("end of the lesson: 1 of 2 questions")
	s.wait("next: pulsewright lesson news")
	if code := s.ends(); code != 0 {
		t.Errorf("ended with %d", code)
	}
}

// TestTerminalConfinedLesson takes a lesson of a stranger in a real terminal: it writes nothing and reads nothing, Ctrl-C stops a command, what was done is kept,
// and the terminal is as it was when a limit ends it.
func TestTerminalConfinedLesson(t *testing.T) {
	dir, state := t.TempDir(), "XDG_STATE_HOME="+t.TempDir()
	for name, text := range map[string]string{"theirs.star": `
lesson("A stranger's", minutes=1)
exercise("Place a key.", check=lambda names: None if parts("key") else "no key yet", solutions=["key((0, 0))"], key="one")
exercise("Place a lamp.", check=lambda names: None if parts("lamp") else "no lamp yet", solutions=["lamp((0, 0))"], key="two")
`, "secret.csv": "quay\n1\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s := window{columns: 120, rows: 30, env: []string{state}, dir: dir}.start(t, "lesson", "--untrusted", "theirs.star")
	s.wait("question 1 of 2")
	s.wait("»")
	s.typ("read_table('./secret.csv')\r")
	s.wait("an untrusted script reads tables in")
	s.typ("key((0, 0)); table([[1]]).save('t.csv')\r")
	s.wait("there is no folder to write to here")
	s.typ("while True: pass\r\r")
	time.Sleep(100 * time.Millisecond)
	s.typ("\x03")
	s.wait("interrupted at 0.0.0")
	s.wait("»")
	s.typ("key((0, 0))\r")
	s.wait("key at (0, 0)")
	s.typ("check\r")
	s.wait("Passed at the first check.")
	s.wait("Enter goes on")
	s.typ("leave\r")
	s.wait("left; all is kept. pulsewright lesson --untrusted theirs.star goes on here")
	if code := s.ends(); code != 0 {
		t.Errorf("ended with %d", code)
	}
	if _, err := os.Stat(filepath.Join(dir, "t.csv")); err == nil {
		t.Error("it wrote a file")
	}

	s = window{env: []string{state}, dir: dir}.start(t, "lesson", "list")
	s.wait("begun besides, from files: theirs")
	s.ends()
	s = window{columns: 120, rows: 30, env: []string{state}, dir: dir}.start(t, "lesson", "--untrusted", "--limit", "time=2s", "theirs")
	s.wait("on with question 2 of 2")
	s.wait("stopped: it ran longer than 2s")
	if code := s.ends(); code != 1 {
		t.Errorf("ended with %d", code)
	}
	if left, _ := filepath.Glob(filepath.Join(strings.TrimPrefix(state, "XDG_STATE_HOME="), "pulsewright", "untrusted", "*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}
