//go:build linux

package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// What users of a shell and of a command expect, one after another, each on a terminal of its own.

// shellTests are what is expected of typing, by what it is about.
var shellTests = map[string]func(t *testing.T, s *tty){
	"history": func(t *testing.T, s *tty) {
		s.until(prompt, "def f():\r")
		s.until("  : »     ", "return 5\r")
		s.until("  : » ", "\r")
		s.until(prompt, "n = 1\r")
		s.until(prompt, "n = 1\r")
		s.until(prompt, " secret = 2\r")
		s.fresh(prompt)
		s.cmd.Process.Kill() // nothing is lost by a crash
		s.ends()
		again := window{env: []string{"XDG_STATE_HOME=" + s.state}}.start(t)
		again.until(prompt, "\x1b[A")
		again.until("n = 1", "\x1b[A")
		again.until("return 5", "\x03")
		again.fresh(prompt)
		again.leave()
		for name, mode := range map[string]os.FileMode{"pulsewright": 0o700, "pulsewright/history": 0o600} {
			if info, err := os.Stat(filepath.Join(s.state, name)); err != nil || info.Mode().Perm() != mode {
				t.Errorf("%s: %v, %v", name, info, err)
			}
		}
	},
	"prefix": func(t *testing.T, s *tty) {
		s.until(prompt, "press = 20\r")
		s.until(prompt, "wire = 3\r")
		s.until(prompt, "pre\x1b[A + 1\r")
		s.until(prompt, "press\r")
		s.shows("21")
		s.until(prompt, "4 + \x1b.\x1f38\r") // Alt-. and Ctrl-_
		s.wait("4 + press")
		s.shows("42")
		s.fresh(prompt)
		s.leave()
	},
	"search": func(t *testing.T, s *tty) {
		s.until(prompt, "alpha = 41\r")
		s.until(prompt, "beta = 1\r")
		s.until(prompt, "6 * 7\x12alp\x12\x07\r")
		s.shows("42")
		s.until(prompt, "6 * 7\x12alp\x12\x03\r")
		s.shows("42")
		s.until(prompt, "\x12alp\x05 + 2\r")
		s.until(prompt, "alpha\r")
		s.shows("43")
		s.fresh(prompt)
		s.leave()
	},
	"completion": func(t *testing.T, s *tty) {
		s.until(prompt, "line = wire((0, 0), (3, 0));\r")
		s.until(prompt, "line[0].pow\t\r")
		s.shows("False")
		s.until(prompt, "delay((5, 5), \"+x\", t\t3); \"tick\" + \"s=\"\r")
		s.wait("ticks=3")
		s.until(prompt, "export(\"x.svg\", what=\"m\t")
		s.until("map\"", "\x15link((9, 9), \"\t")
		shown := s.wait("link((9, 9), \"") + s.wait("link((9, 9), \"")
		if rows := strings.Count(shown, "\n"); rows < 6 || rows > 22 {
			t.Errorf("six directions in %d rows: %q", rows, shown)
		}
		s.typ("\x15    \t6 * 7\r")
		s.shows("42")
		s.fresh(prompt)
		s.leave()
	},
	"blocks": func(t *testing.T, s *tty) {
		s.until(prompt, "def f():\r")
		s.until("  : »     ", "if 1:\r")
		s.until("  : »         ", "\x7freturn 6\r") // one Backspace, one level
		s.wait("body of a def, if, for or while")
		s.until(prompt, "def f():\r")
		s.until("  : »     ", "x = 3\r")
		s.until("  : »     ", "return 2 * x\r")
		s.until("  : » ", "\r")
		s.until(prompt, "f()\r")
		s.shows("6")
		s.until(prompt, "\x1b[A\x1b[A\x1b[D\x1b[A\x7f9\r") // the block again, its row above the last
		s.until(prompt, "f()\r")
		s.shows("18")
		s.fresh(prompt)
		s.leave()
	},
	"paste": func(t *testing.T, s *tty) {
		s.until(prompt, "\x1b[200~0.0 » def f():\n  : » \treturn 20\n  : » \n0.0 » f() + 3\x1b[201~")
		s.until("f() + 3", "\r")
		s.shows("23")
		s.until(prompt, "\x1b[200~d = r\"\"\"\n   K  \n\n  w\"\"\"\n\n[d]\x1b[201~\r")
		s.shows(`["\n   K  \n\n  w"]`)
		s.fresh(prompt)
		s.leave()
	},
	"Ctrl-C at the prompt": func(t *testing.T, s *tty) {
		for range 4 {
			s.until(prompt, "nonsense(\x03")
			s.wait("^C")
		}
		s.until(prompt, "def f():\r")
		s.until("  : »     ", "\x03")
		s.wait("^C")
		s.fresh(prompt)
		s.leave()
	},
	"Ctrl-C while running": func(t *testing.T, s *tty) {
		s.until(prompt, "c = key((0, 0), hold=1); log(False)\r")
		s.until(prompt, "for i in range(1 << 30): (press(c), run(5), print(\"begun\") if i == 3 else None)\r")
		s.until("  : » ", "\r")
		s.wait("begun\r\n")
		began := time.Now()
		s.typ("\x03")
		s.wait("interrupted at ")
		if took := time.Since(began); took > time.Second { // a tenth on a machine that does nothing else
			t.Errorf("stopped after %v", took)
		}
		s.wait("undo() takes it back")
		s.wait(pasteOn)
		s.typ("undo()\r")
		s.until(prompt, "\"still \" + \"here\"\r")
		s.shows(`"still here"`)
		s.fresh(prompt)
		s.leave()
	},
	"Ctrl-C three times": func(t *testing.T, s *tty) {
		s.until(prompt, "max(range(1 << 50))\r")
		time.Sleep(100 * time.Millisecond)
		for range 3 {
			s.typ("\x03")
			s.wait("^C")
			time.Sleep(200 * time.Millisecond) // else the system may make one signal of two
		}
		if code := s.ends(); code != exitInterrupted || !s.echoes() {
			t.Errorf("exit code %d, echoes: %v", code, s.echoes())
		}
	},
	"Ctrl-D": func(t *testing.T, s *tty) {
		s.until(prompt, "def f():\r")
		s.until("  : »     ", "\x04")
		s.until(prompt, "421\x1b[D\x04\r")
		s.shows("42")
		s.fresh(prompt)
		s.leave()
	},
	"results": func(t *testing.T, s *tty) {
		s.until(prompt, "40 + 1\r")
		s.shows("41")
		s.until(prompt, "_ + 1\r")
		s.shows("42")
		s.until(prompt, "None\r")
		s.until(prompt, "43;\r")
		s.until(prompt, "_ + 1\r")
		s.shows("44")
		if strings.Contains(s.out.String(), "\r\n43\r\n") {
			t.Error("43; was shown")
		}
		s.fresh(prompt)
		s.leave()
	},
	"help": func(t *testing.T, s *tty) {
		for _, ask := range []string{"fire?", "help(fire)", `help("fire")`} {
			s.until(prompt, ask+"\r")
			s.wait("fire(target")
			s.wait("example")
			s.wait("see also")
		}
		s.until(prompt, "help()\r")
		s.wait("first, type these")
		s.wait("pulsewright lesson") // no pager holds it up
		s.fresh(prompt)
		s.leave()
	},
	"undo": func(t *testing.T, s *tty) {
		s.until(prompt, "n = 1; lamp((0, 0));\r")
		s.until(prompt, "n = 2; remove((0, 0));\r")
		s.until(prompt, "undo()\r")
		s.wait("undone: n = 2")
		s.until(prompt, "n, len(parts())\r")
		s.shows("(1, 1)")
		s.until(prompt, "redo()\r")
		s.until(prompt, "n, len(parts())\r")
		s.shows("(2, 0)")
		s.fresh(prompt)
		s.leave()
	},
	"script, then shell": func(t *testing.T, s *tty) {
		s.fresh(prompt)
		s.leave()
		if err := os.WriteFile(filepath.Join(s.cmd.Dir, "a.star"), []byte("xs = [arg(\"n\", 1)]\nfail(\"no\")\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		stays := window{dir: s.cmd.Dir}.start(t, "run", "-i", "a.star", "n=7")
		stays.wait("a.star:2:")
		stays.until(prompt, "xs.append(8); xs\r")
		stays.shows("[7, 8]")
		stays.fresh(prompt)
		stays.leave()
	},
	"progress": func(t *testing.T, s *tty) {
		s.until(prompt, "sweep(lambda n: [i for i in range(100000)] and n, range(5000))\r")
		s.wait(" of 5000,")
		s.wait(" left")
		s.typ("\x03")
		s.wait("\r\x1b[K") // it is wiped away
		s.wait("interrupted")
		s.fresh(prompt)
		s.leave()
	},
	"keeping": func(t *testing.T, s *tty) {
		s.until(prompt, "key((0, 0), name=\"quay\"); lamp((1, 0), name=\"l\");\r")
		s.until(prompt, "nonsense\r")
		s.until(prompt, "press(\"quay\"); run(1)\r")
		log := s.wait("\x1b[?2004h")
		s.seen -= len(pasteOn)
		s.until("1.0 » ", "save(\"kept.star\")\r")
		s.wait("wrote kept.star")
		s.fresh("1.0 » ")
		s.leave()
		again := window{dir: s.cmd.Dir}.start(t, "run", "kept.star")
		if code := again.ends(); code != 0 {
			t.Errorf("exit code %d", code)
		}
		for _, row := range strings.Split(log, "\r\n")[1:] {
			if row = strings.TrimRight(strings.Split(row, "\x1b")[0], " "); row != "" && !strings.Contains(again.out.String(), row) {
				t.Errorf("the log of the script lacks %q", row)
			}
		}
	},
}

func TestTerminalTyping(t *testing.T) {
	for name, test := range shellTests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test(t, window{}.start(t))
		})
	}
}

// TestTerminalRunning has what is expected of the command: a line of the system's shell, its exit code, and what the terminal shows, or does not.
func TestTerminalRunning(t *testing.T) {
	for _, c := range []struct {
		name, line string
		env        []string
		code       int
		shows      string // an expression
		not        string // another
	}{
		{name: "pipe", line: "printf 'print(6 * 7)\\nfail()\\nprint(43)' | pulsewright; echo code $?", shows: `(?s)^42\r\n<stdin>:2:5: .*code 1`, not: "43|»|\x1b"},
		{name: "pipe named -", line: "echo 'print(6 * 7)' | pulsewright -; pulsewright -c 'print(6 * 8)'", shows: "^42\r\n48\r\n$"},
		{name: "exit codes", line: "pulsewright -c 1; echo $?; pulsewright -c nope 2>/dev/null; echo $?; pulsewright --nope 2>/dev/null; echo $?; pulsewright run none.star 2>/dev/null; echo $?", shows: "^0\r\n1\r\n2\r\n2\r\n$"},
		{name: "closed pipe", line: "pulsewright -c 'for i in range(100000): print(i)' | head -1", shows: "^0\r\n$"},
		{name: "--help, version", line: "pulsewright --help 2>/dev/null | head -3; pulsewright version 2>/dev/null; pulsewright rnu >/dev/null; echo $?", shows: `(?s)pulsewright.*unknown command "rnu".*run.*2\r\n$`},
		{name: "streams", line: "pulsewright -c 'print(6 * 7); fail(\"no\")' 2>errors >out; echo; cat out; echo -; cat errors", shows: `(?s)^\r\n42\r\n-\r\n<command>:1:19: fail: no`},
		{name: "colour", line: "pulsewright -c 'nope' 2>errors; cat errors; pulsewright -c nope", env: []string{"NO_COLOR=", "TERM=xterm"}, code: 1, shows: `(?s)^<command>.*\x1b\[`},
		{name: "colour forced", line: "pulsewright -c nope 2>errors; cat errors", env: []string{"NO_COLOR=", "FORCE_COLOR=1"}, shows: `\x1b\[`},
		{name: "no colour", line: "pulsewright -c nope; TERM=dumb NO_COLOR= FORCE_COLOR= pulsewright -c nope; pulsewright --color never -c nope", env: []string{"FORCE_COLOR=1"}, code: 1, not: `\x1b\[`},
		{name: "glyphs", line: "pulsewright -c 'plot(sweep(lambda n: n * n, range(5))); key((0, 0)); print(map(), scope())'; LC_ALL=C.UTF-8 pulsewright --ascii -c 'plot(sweep(lambda n: n * n, range(5)))'", env: []string{"LANG=C"}, shows: "result over n", not: "[^\x00-\x7e]"},
		{name: "width", line: "pulsewright -c 'table([[\"quay\", 1]], head=[\"where\", \"n\"])'; pulsewright -c 'print(\"berth \" * 30)' | wc -l", shows: `1\r\n$`},
		{name: "pager", line: "pulsewright guide limits; echo; echo; PAGER=cat pulsewright guide medium", env: []string{"PAGER=sed s/^/paged:/"}, shows: "Limits", not: "paged:"},
		{name: "a pager for what is long", line: "pulsewright guide medium; PAGER= pulsewright guide medium | cat", env: []string{"PAGER=sed s/^/paged:/"}, shows: "(?m)^paged:The medium(?s:.*)^The medium"},
		{name: "machine output", line: "pulsewright --json -c 'k = key((0, 0), hold=1); press(k); print(\"aside\"); run()' 2>/dev/null", shows: `^\{"format":"[^\r]*"version":[^\r]*\}\r\n\{"bench":1,"event":1,`, not: "aside"},
		{name: "repeatable", line: "for i in 1 2 3; do pulsewright --workers $i -c 'print(sweep(lambda n: n * rand(1000), range(50)), [rand(100) for i in range(9)])' >out$i; done; cmp out1 out2 && cmp out1 out3 && echo same", shows: "^same\r\n$"},
		{name: "tests", line: "printf 'def test_a(): expect_equal(1, 2)\\ndef test_b(): pass\\n' >a_test.star; pulsewright test; echo $?; pulsewright test --run none; echo $?", shows: `(?s)a_test\.star:1.*test_a.*got +1.*want +2.*1 passed, 1 failed.*1\r\n.*2\r\n$`},
		{name: "errors", line: "pulsewright -c 'def f(): pres(1)\nf()'", code: 1, shows: `(?s)<command>:1:10: pres.*def f\(\): pres\(1\)\r\n +\^\r\n.*did you mean press\?`, not: `\.go|goroutine`},
		{name: "completion scripts, manual", line: "pulsewright completion bash | grep -c pulsewright; pulsewright man | head -1", shows: `(?s)^\d\d+\r\n\.TH`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := window{env: c.env, program: "sh"}.start(t, "-c", c.line)
			if code := s.ends(); code != c.code {
				t.Errorf("exit code %d, want %d", code, c.code)
			}
			time.Sleep(20 * time.Millisecond) // the copy of the terminal's output ends after the process
			out := s.out.String()
			if !regexp.MustCompile(c.shows).MatchString(out) {
				t.Errorf("%s\nshows %q, want %s", c.line, out, c.shows)
			}
			if c.not != "" && regexp.MustCompile(c.not).MatchString(out) {
				t.Errorf("%s\nshows %q, with %s", c.line, out, c.not)
			}
		})
	}
}
