//go:build linux

package main

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// patienceOfTests is how long something may take until a test gives up waiting.
const patienceOfTests = 10 * time.Second

// tty is the command on a terminal of its own, and somebody who waits for a text before typing the next.
type tty struct {
	t      *testing.T
	cmd    *exec.Cmd
	file   *os.File
	out    lockedBuffer
	copied chan struct{} // closed when nothing more comes
	seen   int           // bytes of out already waited for
	state  string
	dumb   bool // the terminal gets no escapes
}

type window struct {
	columns, rows int
	env           []string
	dir           string
	program       string // "": the command
}

func (w window) start(t *testing.T, args ...string) *tty {
	t.Helper()
	if w.program == "" {
		w.program = "pulsewright"
	}
	path, err := exec.LookPath(w.program)
	if err != nil {
		t.Fatal(err)
	}
	if w.columns == 0 {
		w.columns, w.rows = 80, 24
	}
	if w.dir == "" {
		w.dir = t.TempDir()
	}
	s := &tty{t: t, cmd: exec.Command(path, args...), state: t.TempDir()}
	s.cmd.Dir = w.dir
	s.cmd.Env = append(os.Environ(), "TERM=xterm", "LANG=C.UTF-8", "LC_ALL=", "LC_CTYPE=", "NO_COLOR=1", "FORCE_COLOR=", "COLUMNS=", "XDG_STATE_HOME="+s.state)
	s.cmd.Env = append(s.cmd.Env, w.env...)
	if s.file, err = pty.StartWithSize(s.cmd, &pty.Winsize{Cols: uint16(w.columns), Rows: uint16(w.rows)}); err != nil {
		t.Fatal(err)
	}
	s.copied = make(chan struct{})
	go func() {
		io.Copy(&s.out, s.file) // ends with an error when the other side closes
		close(s.copied)
	}()
	t.Cleanup(func() {
		s.cmd.Process.Kill() // if it runs still
		s.cmd.Wait()
		s.file.Close()
		<-s.copied
	})
	return s
}

// wait for a text to appear after what was waited for before; it gives what came up to its end.
func (s *tty) wait(text string) string {
	s.t.Helper()
	for end := time.Now().Add(patienceOfTests); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		all := s.out.String()
		if i := strings.Index(all[s.seen:], text); i >= 0 {
			from := s.seen
			s.seen += i + len(text)
			return all[from:s.seen]
		}
	}
	s.t.Fatalf("no %q in %q", text, s.out.String()[s.seen:])
	return ""
}

// shows waits for the value of the line just entered: the first that is written after it.
func (s *tty) shows(value string) {
	s.t.Helper()
	s.wait(pasteOff + value + "\r\n")
}

// fresh waits for a prompt that has not been typed at yet.
func (s *tty) fresh(prompt string) {
	s.t.Helper()
	if !s.dumb {
		s.wait(pasteOn)
	}
	s.wait(prompt)
}

// until types keys once the text has appeared.
func (s *tty) until(text, keys string) {
	s.t.Helper()
	if isPrompt := strings.HasSuffix(text, "» ") || strings.HasSuffix(text, "|> ") || strings.HasSuffix(text, "     "); isPrompt && !s.dumb {
		s.fresh(text)
	} else {
		s.wait(text)
	}
	s.typ(keys)
}

func (s *tty) typ(keys string) {
	s.t.Helper()
	if _, err := io.WriteString(s.file, keys); err != nil {
		s.t.Fatal(err)
	}
}

// ends waits for the process to end and gives its exit code, or 128 and the number of the signal that ended it.
func (s *tty) ends() int {
	s.t.Helper()
	done := make(chan error, 1)
	go func() { done <- s.cmd.Wait() }()
	select {
	case err := <-done:
		var exit *exec.ExitError
		if err != nil && !errors.As(err, &exit) {
			s.t.Fatal(err)
		}
		select { // what it wrote last may still be on its way
		case <-s.copied:
		case <-time.After(time.Second):
		}
		if status, ok := s.cmd.ProcessState.Sys().(syscall.WaitStatus); ok && status.Signaled() {
			return 128 + int(status.Signal())
		}
		return s.cmd.ProcessState.ExitCode()
	case <-time.After(patienceOfTests):
		s.cmd.Process.Kill()
		<-done
		s.t.Fatalf("it does not end; the screen had %q", s.out.String()[s.seen:])
		return -1
	}
}

// prompt ends in this; text typed stands behind it.
const prompt = "0.0 » "

func (s *tty) leave() {
	s.t.Helper()
	s.typ("\x04")
	if code := s.ends(); code != 0 {
		s.t.Errorf("exit code %d after Ctrl-D; the screen had %q", code, s.out.String()[s.seen:])
	}
}

// echoes says whether the terminal shows what is typed and waits for whole lines.
func (s *tty) echoes() bool {
	s.t.Helper()
	conn, err := s.file.SyscallConn()
	if err != nil {
		s.t.Fatal(err)
	}
	var state *unix.Termios
	if e := conn.Control(func(fd uintptr) { state, err = unix.IoctlGetTermios(int(fd), unix.TCGETS) }); e != nil || err != nil {
		s.t.Fatal(e, err)
	}
	return state.Lflag&unix.ECHO != 0 && state.Lflag&unix.ICANON != 0
}
