//go:build linux

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

func TestTerminalTyping(t *testing.T) {
	for name, test := range typingTests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test(t)
		})
	}
}

// typingTests are what is expected of a conversation.
var typingTests = map[string]func(t *testing.T){
	"history": func(t *testing.T) {
		s := window{}.start(t)
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
	"history: the newest": func(t *testing.T) {
		state := t.TempDir()
		file := filepath.Join(state, "pulsewright", "history")
		if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
			t.Fatal(err)
		}
		var old strings.Builder
		for i := range historyLimit + historySlack {
			fmt.Fprintf(&old, "\"n%d = %d\"\n", i, i)
		}
		if err := os.WriteFile(file, []byte(old.String()), 0o600); err != nil {
			t.Fatal(err)
		}
		s := window{env: []string{"XDG_STATE_HOME=" + state}}.start(t)
		s.until(prompt, "1 + 1\r")
		s.until(prompt, "\x1b[A\x1b[A")
		s.until("n5499 = 5499", "\x03")
		s.fresh(prompt)
		s.leave()
		again := window{env: []string{"XDG_STATE_HOME=" + state}}.start(t)
		again.fresh(prompt)
		again.leave()
		text, err := os.ReadFile(file)
		if lines := strings.Split(string(text), "\n"); err != nil || len(lines) != historyLimit+1 || lines[0] != `"n501 = 501"` || lines[historyLimit-1] != `"1 + 1"` {
			t.Errorf("%v: %d lines from %s to %s", err, len(lines), lines[0], lines[max(len(lines)-2, 0)])
		}
	},
	"history: at home": func(t *testing.T) {
		home := t.TempDir()
		s := window{env: []string{"XDG_STATE_HOME=", "HOME=" + home}}.start(t)
		s.until(prompt, "n = 1\r")
		s.fresh(prompt)
		s.leave()
		if text, err := os.ReadFile(filepath.Join(home, ".local", "state", "pulsewright", "history")); err != nil || string(text) != "\"n = 1\"\n" {
			t.Errorf("%v: %q", err, text)
		}
	},
	"history: cannot be kept": func(t *testing.T) {
		file := filepath.Join(t.TempDir(), "file")
		if err := os.WriteFile(file, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		s := window{env: []string{"XDG_STATE_HOME=" + file}}.start(t)
		s.wait("history is not kept")
		s.until(prompt, "6 * 7\r")
		s.shows("42")
		s.until(prompt, "\x1b[A") // the conversation has it still
		s.until("6 * 7", "\x03")
		s.fresh(prompt)
		s.leave()
		if n := strings.Count(s.out.String(), "history is not kept"); n != 1 {
			t.Errorf("%d warnings", n)
		}
	},
	"history: by its beginning": func(t *testing.T) {
		s := window{}.start(t)
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
	"completion": func(t *testing.T) {
		s := window{}.start(t)
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
	"completion: files, beginnings, what is many": func(t *testing.T) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "mole.star"), []byte("mole = 7\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		s := window{dir: dir, columns: 80, rows: 12}.start(t)
		s.until(prompt, "load(\"./mo\t, \"mole\"); mole * 6\r")
		s.wait("load(\"./mole.star\"")
		s.shows("42")
		for _, word := range []string{"save", "export"} {
			s.until(prompt, word+"(\"mo\t")
			s.until("mole.star\"", "\x03")
		}
		s.until(prompt, "berth_north = 1; berth_south = 2\r")
		s.until(prompt, "ber\t")
		s.until("berth_", "\t")
		s.wait("berth_north  int\r\n")
		s.wait("berth_south  int\r\n")
		s.until(prompt+"berth_", "\x15[\t")
		shown := s.wait("more\r\n")
		if rows := strings.Count(shown, "\n"); rows > 11 || !regexp.MustCompile(`  and \d+ more\r\n$`).MatchString(shown) {
			t.Errorf("%d rows: %q", rows, shown)
		}
		if !strings.Contains(shown, "against(new, old, on=None)\r\n") {
			t.Errorf("no signatures: %q", shown)
		}
		s.until(prompt+"[", "\x03")
		s.until(prompt, "def f(): print(\"cal\" + \"led\")\r")
		s.until("  : » ", "\r")
		s.until(prompt, "f().\t\x03")
		s.fresh(prompt)
		s.leave()
		if strings.Contains(s.out.String(), "called") {
			t.Error("completion called a function")
		}
	},
	"paste": func(t *testing.T) {
		s := window{}.start(t)
		s.until(prompt, "\x1b[200~0.0 » def f():\n  : » \treturn 20\n  : » \n0.0 » f() + 3\x1b[201~")
		s.until("f() + 3", "\r")
		s.shows("23")
		s.until(prompt, "\x1b[200~d = r\"\"\"\n   K  \n\n  w\"\"\"\n\n[d]\x1b[201~\r")
		s.shows(`["\n   K  \n\n  w"]`)
		s.until(prompt, "\x1b[200~one = 6\n\tsh\n\none * 7\n\x1b[201~") // nothing completes, and nothing runs before Enter
		s.wait("one * 7")
		time.Sleep(50 * time.Millisecond)
		if strings.Contains(s.out.String(), "42") {
			t.Error("a paste ran without Enter")
		}
		s.typ("\x03")
		s.until(prompt, "one\r")
		s.wait("one is not defined")
		s.fresh(prompt)
		s.leave()
	},
	"Ctrl-C while running": func(t *testing.T) {
		s := window{}.start(t)
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
	"Ctrl-C while running: at once": func(t *testing.T) {
		s := window{}.start(t)
		s.until(prompt, "gate((0, 0), \"+x\", \"not\"); wire(path=[(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0)]); fire((-1, 0)); log(False)\r")
		least := time.Hour
		for range 4 { // on a busy machine one takes longer
			s.until("0.0 » ", "print(\"begun\"); run(1000000)\r")
			s.wait("begun\r\n")
			time.Sleep(20 * time.Millisecond)
			began := time.Now()
			s.typ("\x03")
			s.wait("interrupted at 1.")
			least = min(least, time.Since(began))
			s.wait("undo() takes it back")
			s.until(" » ", "undo()\r")
			s.wait("(now 0.0.0)")
		}
		if least > 100*time.Millisecond {
			t.Errorf("stopped after %v", least)
		}
		s.fresh(prompt)
		s.leave()
	},
	"Ctrl-C while running: in a script": func(t *testing.T) {
		s := window{}.start(t, "-c", "print('begun')\nwhile True: pass")
		s.until("begun", "\x03")
		s.wait("interrupted")
		if code := s.ends(); code != exitInterrupted {
			t.Errorf("exit code %d", code)
		}
	},
	"Ctrl-C while running: a second": func(t *testing.T) {
		s := window{}.start(t)
		s.until(prompt, "max(range(1 << 50))\r") // one long step of the interpreter
		time.Sleep(100 * time.Millisecond)
		s.typ("\x03")
		s.wait("^C")
		s.typ("\x03") // too early: perhaps it is about to stop
		s.until("Ctrl-C again ends pulsewright", "\x03")
		if code := s.ends(); code != exitInterrupted || !s.echoes() {
			t.Errorf("exit code %d, echoes: %v", code, s.echoes())
		}
	},
	"Ctrl-C while running: a third": func(t *testing.T) {
		s := window{}.start(t)
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
	"search": func(t *testing.T) {
		s := window{}.start(t)
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
	"blocks": func(t *testing.T) {
		s := window{}.start(t)
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
	"Ctrl-C at the prompt": func(t *testing.T) {
		s := window{}.start(t)
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
	"Ctrl-D": func(t *testing.T) {
		s := window{}.start(t)
		s.until(prompt, "def f():\r")
		s.until("  : »     ", "\x04")
		s.until(prompt, "421\x1b[D\x04\r")
		s.shows("42")
		s.fresh(prompt)
		s.leave()
	},
	"help": func(t *testing.T) {
		s := window{}.start(t)
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
	"undo": func(t *testing.T) {
		s := window{}.start(t)
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
	"results": func(t *testing.T) {
		s := window{}.start(t)
		s.until(prompt, "40 + 1\r")
		s.shows("41")
		s.until(prompt, "_ + 1\r")
		s.shows("42")
		s.until(prompt, "None\r")
		s.until(prompt, "43;\r")
		s.until(prompt, "_ + 1\r")
		s.shows("44")
		for _, silent := range []string{"43", "None"} {
			if strings.Contains(s.out.String(), "\n"+silent+"\r\n") {
				t.Errorf("%s was shown", silent)
			}
		}
		s.fresh(prompt)
		s.leave()
	},
	"keeping": func(t *testing.T) {
		s := window{}.start(t)
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
