//go:build linux

package main

import (
	"strings"
	"syscall"
	"testing"
	"time"
)

// quayRig is a machine whose run has four turns, and plays it.
const quayRig = `k = key((0, 0), hold=1, name="quay"); link((1, 0), "+y", name="pull"); press(k); play()` + "\r"

// TestTerminalPlay: the keys walk through the film, the screen comes back as it was, and the shell goes on.
func TestTerminalPlay(t *testing.T) {
	s := window{columns: 80, rows: 24}.start(t)
	s.until("0.0 » ", quayRig)
	s.wait(screenTaken)
	s.wait("before the first of 4 turns   goes on")
	s.typ(" ")
	s.wait("stands")
	s.typ("\x1b[C")
	s.wait("turn 1 of 4, at 1.0.0")
	s.wait("quay goes on, because it was pressed.")
	s.typ("\x1b[C")
	s.wait("turn 2 of 4, at 1.1.0")
	s.wait("pull goes out, because quay was pressed.")
	s.typ("\x1b[D")
	s.wait("turn 1 of 4")
	s.typ("g2.1")
	s.wait("2.1_")
	s.typ("\r")
	s.wait("turn 4 of 4, at 2.1.0   the end")
	s.typ("q")
	s.wait(screenGiven)
	s.wait("played 4 turns, 1.0.0 to 2.1.0\r\n")
	s.until("2.1 » ", "now().tick\r")
	s.shows("2")
	s.until("2.1 » ", "play()\r") // the last run again
	s.wait("before the first of 4 turns")
	s.typ("\x03")
	s.wait(screenGiven)
	s.until("2.1 » ", "\x04")
	if code := s.ends(); code != 0 {
		t.Errorf("it ends with %d", code)
	}
}

// TestTerminalPlayPace: however fast the keys come, the picture changes at most three times a second.
func TestTerminalPlayPace(t *testing.T) {
	s := window{columns: 80, rows: 24}.start(t, "-c", `
w = wire((0, 0))
for i in range(60):
    fire(w, 2, at=i + 1)
play(pace=3)
`)
	s.wait("before the first of")
	from := strings.Count(s.out.String(), "\x1b[1;1H")
	start := time.Now()
	for time.Since(start) < 2*time.Second {
		s.typ("\x1b[C")
		time.Sleep(20 * time.Millisecond)
	}
	n, spent := strings.Count(s.out.String(), "\x1b[1;1H")-from, time.Since(start)
	if most := int(3*spent.Seconds()) + 1; n > most || n < 2 {
		t.Errorf("%d pictures in %v, want at most %d", n, spent, most)
	}
	s.typ("q")
	s.wait(screenGiven)
	if code := s.ends(); code != 0 {
		t.Errorf("it ends with %d", code)
	}
}

// TestTerminalPlaySignal: a signal gives the screen back.
func TestTerminalPlaySignal(t *testing.T) {
	s := window{columns: 80, rows: 24}.start(t)
	s.until("0.0 » ", quayRig)
	s.wait("before the first of 4 turns")
	s.cmd.Process.Signal(syscall.SIGTERM)
	s.wait(screenGiven)
	if code := s.ends(); code != 143 {
		t.Errorf("it ends with %d", code)
	}
}

// TestTerminalPlayDumb: where the terminal understands nothing it prints plainly.
func TestTerminalPlayDumb(t *testing.T) {
	s := window{columns: 80, rows: 24, env: []string{"TERM=dumb"}}.start(t, "-c", strings.TrimSuffix(quayRig, "\r"))
	s.wait("pull goes home, because quay went off.")
	if code := s.ends(); code != 0 || strings.Contains(s.out.String(), "\x1b") {
		t.Errorf("it ends with %d: %q", code, s.out.String())
	}
}
