//go:build linux

package main

import (
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
)

// The rows of a drawing begin as they are typed, and what follows one stands as deep as the statement it is in: by Enter, and by Alt-Enter.
func TestTerminalDrawing(t *testing.T) {
	t.Parallel()
	s := window{}.start(t)
	s.until(prompt, "def f():\r")
	s.until("  : »     ", "d = r\"\"\"\r")
	s.until("  : » ", " K\x1b\rw\r")
	s.until("  : » ", "\"\"\"\r")
	s.until("  : »     ", "return len(d)\r")
	s.until("  : » ", "\r")
	s.until(prompt, "f() * 7\r") // two rows and three line ends
	s.shows("42")
	s.fresh(prompt)
	s.leave()
}

// The last line of help is not written over by the prompt.
func TestTerminalHelp(t *testing.T) {
	t.Parallel()
	s := window{columns: 80, rows: 60}.start(t)
	for _, ask := range []string{"fire?", "help(fire)", "?", "help(\"acting\")"} {
		s.until(prompt, ask+"\r")
		s.wait(pasteOff)
		shown := s.wait(pasteOn)
		text, _, ok := strings.Cut(shown, pasteOn)
		if !ok || !strings.HasSuffix(strings.TrimSuffix(text, "\x1b[J"), "\r\n") {
			t.Errorf("%s ends in %q, want a line end", ask, text[max(0, len(text)-40):])
		}
		s.seen -= len(pasteOn)
	}
	s.fresh(prompt)
	s.leave()
}

// What is typed while a command runs is the next line.
func TestTerminalTypedAhead(t *testing.T) {
	t.Parallel()
	s := window{}.start(t)
	s.until(prompt, "for i in range(1000000): pass\r")
	s.until("  : » ", "\r")
	time.Sleep(50 * time.Millisecond)
	s.typ("40 + 2\r")
	s.shows("42")
	s.fresh(prompt)
	s.leave()
}

func TestTerminalPaste(t *testing.T) {
	t.Parallel()
	s := window{}.start(t)
	s.until(prompt, "\x1b[200~def f():\n\tx = 20\n\n\treturn x + 3\n\nf()\x1b[201~")
	s.until("return x + 3 ", "\r")
	s.shows("23")
	s.until(prompt, "\x1b[A") // comes back as one entry
	s.until("x + 3 ", " + 1\r")
	s.shows("24")
	s.until(prompt, "\x1b[200~"+strings.Repeat("x", pasteLimit+1)+"\x1b[201~")
	s.wait("too long")
	s.typ("1 + 1\r")
	s.shows("2")
	s.fresh(prompt)
	s.leave()
}

// A transcript can be pasted back: our own prompts are cut off.
func TestTerminalPasteTranscript(t *testing.T) {
	t.Parallel()
	s := window{}.start(t)
	s.until(prompt, "\x1b[200~0.0 » x = 20\n0.0 » x + 3\x1b[201~\r")
	s.shows("23")
	s.fresh(prompt)
	s.leave()
}

func TestTerminalCompletion(t *testing.T) {
	t.Parallel()
	for _, w := range []window{{columns: 80, rows: 24}, {columns: 20, rows: 10}, {columns: 5, rows: 3}} {
		mark := "» "
		if w.columns < 12 {
			mark = shortPrompt
		}
		s := w.start(t)
		s.until(mark, "onesh\t")
		s.until("oneshot", "(\t")
		s.wait("\n") // the list stands above the line, which is written again below it
		rows := strings.Split(s.wait(mark+"oneshot("), "\r\n")
		for _, row := range rows[:len(rows)-1] {
			if n := len([]rune(row)); n >= w.columns {
				t.Errorf("%d columns: a row of %d: %q", w.columns, n, row)
			}
		}
		drop := func() {
			s.typ("\x03")
			s.wait("^C")
			s.fresh(mark)
		}
		drop()
		s.typ("語語d\t\t")
		drop()
		s.typ("6 * 7\r")
		s.shows("42")
		s.fresh(mark)
		s.leave()
	}
}

func TestTerminalKeys(t *testing.T) {
	t.Parallel()
	s := window{}.start(t)
	s.until(prompt, "\x00\x1a\x14\x1b[3~")             // Ctrl-Space, Ctrl-Z, Ctrl-T and Delete: nothing
	s.typ("2\x1b[1~1 + \x1b[4~2\r")                    // Home and End
	s.shows("23")                                      // 1 + 22
	s.until(prompt, "x_y = 5; x_y\x17\x1b[1;5D\x17\r") // word by word
	s.fresh(prompt)
	s.leave()
}

// Searching an empty history has crashed the library.
func TestTerminalSearchFirst(t *testing.T) {
	t.Parallel()
	for _, end := range []string{"\x03", "\x07", "xyz\x7f\x12\x07"} {
		s := window{}.start(t)
		s.until(prompt, "\x12")
		s.until("search", end)
		s.typ("6 * 7\r")
		s.shows("42")
		s.fresh(prompt)
		s.leave()
	}
}

// A signal at the prompt and in a command leaves the terminal as it was: it echoes, and pastes are not bracketed.
func TestTerminalSignals(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		signal syscall.Signal
		code   int
		busy   bool
	}{
		{syscall.SIGTERM, 143, false},
		{syscall.SIGTERM, 143, true},
		{syscall.SIGHUP, 129, false},
	} {
		s := window{}.start(t)
		before := s.echoes()
		s.fresh(prompt)
		s.typ("x")
		s.wait("x")
		if test.busy {
			s.typ("\x15while True: pass\r")
			s.until("  : » ", "\r")
		}
		if err := s.cmd.Process.Signal(test.signal); err != nil {
			t.Fatal(err)
		}
		if code := s.ends(); code != test.code {
			t.Errorf("%v: exit code %d, want %d", test.signal, code, test.code)
		}
		if after := s.echoes(); !before || !after {
			t.Errorf("%v: the terminal echoes: before %v, after %v", test.signal, before, after)
		}
		s.wait(pasteOff)
	}
}

// A window made narrow and wide again, while a line is being edited.
func TestTerminalResize(t *testing.T) {
	t.Parallel()
	s := window{}.start(t)
	s.until(prompt, "10000000000000000000000000000 + 1")
	for _, columns := range []uint16{20, 6, 3, 1, 0, 40, 80} {
		if err := pty.Setsize(s.file, &pty.Winsize{Cols: columns, Rows: 24}); err != nil {
			t.Fatal(err)
		}
		time.Sleep(5 * time.Millisecond)
		s.typ("1\x1b[D\x1b[D\x1b[C\x1b[C")
	}
	s.typ("\r")
	s.shows("10000000000000000000011111111")
	s.fresh(prompt)
	s.leave()
}

// A terminal that understands nothing gets plain lines.
func TestTerminalDumb(t *testing.T) {
	t.Parallel()
	s := window{env: []string{"TERM=dumb", "NO_COLOR="}}.start(t)
	s.dumb = true
	s.until(prompt, "6 * 7\n")
	s.wait("42\r\n")
	s.until(prompt, "def f():\n")
	s.until("  : » ", "\x03")
	s.until(prompt, "for i in range(1 << 40): (print(\"begun\") if i == 0 else None)\n")
	s.until("  : » ", "\n")
	s.wait("begun\r\n")
	s.typ("\x03")
	s.wait("interrupted")
	s.fresh(prompt)
	s.leave()
	if strings.ContainsRune(s.out.String(), 0x1B) {
		t.Errorf("an escape on a dumb terminal: %q", s.out.String())
	}
}

func TestTerminalASCII(t *testing.T) {
	t.Parallel()
	s := window{env: []string{"LANG=C"}}.start(t)
	s.until("0.0 |> ", "def f():\r")
	s.until("  : |>     ", "\x03")
	s.until("0.0 |> ", "\x1b[200~1\n2\x1b[201~")
	s.wait("1 ")
	s.typ("\x03")
	s.fresh("0.0 |> ")
	s.leave()
	for _, r := range s.out.String() {
		if r > 0x7F {
			t.Fatalf("%q on a terminal without letters beyond ASCII", r)
		}
	}
}
