//go:build linux

package main

import (
	"strings"
	"testing"
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
