//go:build linux

package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"
)

func TestTerminalRunning(t *testing.T) {
	for name, test := range runningTests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test(t)
		})
	}
	for _, c := range lineTests {
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

// runningTests are what is expected of the command where somebody is there who answers.
var runningTests = map[string]func(t *testing.T){
	"script, then shell": func(t *testing.T) {
		s := window{}.start(t)
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
	"script, then shell: a script that does not parse": func(t *testing.T) {
		s := window{}.start(t, "-i", "-c", "n = (")
		s.wait("<command>:1:")
		s.until(prompt, "6 * 7\r")
		s.shows("42")
		s.fresh(prompt)
		s.leave()
	},
	"pager: help and tables of a conversation": func(t *testing.T) {
		s := window{columns: 80, rows: 5, env: []string{"PAGER=sed s/^/paged:/"}}.start(t)
		for _, ask := range []string{"wire?", "help()", "table([[i] for i in range(9)])"} {
			s.until(prompt, ask+"\r")
			s.wait("paged:")
		}
		s.until(prompt, "table([[1]])\r")
		s.shows("1")
		s.fresh(prompt)
		s.leave()
		off := window{columns: 80, rows: 5, env: []string{"PAGER="}}.start(t)
		off.until(prompt, "wire?\r")
		off.wait("\nwire(")
		off.fresh(prompt)
		off.leave()
	},
	"progress": func(t *testing.T) {
		s := window{}.start(t)
		s.until(prompt, "sweep(lambda n: [i for i in range(100000)] and n, range(5000))\r")
		began := time.Now()
		first := s.wait(" of 5000,")
		if took := time.Since(began); took < progressDelay-100*time.Millisecond {
			t.Errorf("shown after %v: %q", took, first)
		}
		s.wait(" a second, ")
		s.wait(" left")
		began = time.Now()
		for range 3 {
			s.wait(" of 5000,")
		}
		if took := time.Since(began); took < 2*progressPause {
			t.Errorf("drawn three times in %v", took)
		}
		s.typ("\x03")
		s.wait("\r\x1b[K") // it is wiped away
		s.wait("interrupted")
		s.fresh(prompt)
		s.leave()
	},
}

// lineTests are what is expected of the command otherwise: lines of the system's shell, the exit code of the last, and what the terminal shows, or does not.
var lineTests = []struct {
	name, line string
	env        []string
	code       int
	shows      string // an expression
	not        string // another
}{
	{name: "pipe", line: `printf 'print(6 * 7)\nfail()\nprint(43)' | pulsewright; echo code $?`, shows: `(?s)^42\r\n<stdin>:2:5: .*code 1`, not: "43|»|help\\(\\)|\x1b"},
	{name: "pipe: named -, and -c", line: `echo 'print(6 * 7)' | pulsewright -; pulsewright -c 'print(6 * 8)'; echo '6 * 9' | pulsewright`, shows: "^42\r\n48\r\n$"},
	{name: "exit codes", line: `pulsewright -c 1; echo $?; pulsewright -c nope 2>/dev/null; echo $?; pulsewright --nope 2>/dev/null; echo $?; pulsewright run none.star 2>/dev/null; echo $?`, shows: "^0\r\n1\r\n2\r\n2\r\n$"},
	{name: "exit codes: a closed pipe", line: `q() { "$@" | head -1 >/dev/null; }; q pulsewright scripts; q pulsewright guide medium; q pulsewright man; q pulsewright --help; q pulsewright -c 'help(fire)'
q pulsewright --json -c 'w = wire((0, 0)); [fire(w, 1, at=i + 1) for i in range(900)]; run()'; pulsewright -c 'for i in range(100000): print(i)' | head -1`, shows: "^0\r\n$"},
	{name: "--help, version", line: `pulsewright --help 2>/dev/null | head -3; pulsewright run --help 2>/dev/null | grep -c name=value; pulsewright version 2>/dev/null; echo $?`, shows: `(?s)^Pulsewright.*\r\n[1-9]\r\npulsewright \d[^\r]*\r\n0\r\n$`},
	{name: "--help, version: wrong usage", line: `for c in 'rnu' '--colr never' 'run' 'tset' 'completion bsh'; do pulsewright $c 2>errors; echo $? $(wc -l <errors); cat errors; done`,
		shows: `^2 1\r\n.*did you mean run\?\r\n2 1\r\n.*did you mean --color\?\r\n2 1\r\n.*usage.*\r\n2 1\r\n.*did you mean test\?\r\n2 1\r\n.*did you mean bash\?\r\n$`},
	{name: "streams", line: `pulsewright -c 'print(6 * 7); key((0, 0), hold=1, name="quay"); press("quay"); run(); help(fire); fail("no")' 2>errors >out; echo; grep -c '^42$\|quay .*on\|^fire(' out; echo -; cat errors`, shows: `(?s)^\r\n4\r\n-\r\n<command>:1:\d+: fail: no`},
	{name: "colour", line: `pulsewright -c 'nope' 2>errors; cat errors; pulsewright -c nope`, env: []string{"NO_COLOR="}, code: 1, shows: `(?s)^<command>.*\x1b\[`},
	{name: "colour: what decides first", line: `e() { "$@" -c nope 2>errors; grep -q "$(printf '\033')" errors && echo yes || echo no; }
e pulsewright --color always; FORCE_COLOR=1 e pulsewright; export NO_COLOR=; FORCE_COLOR=1 e pulsewright --color never; FORCE_COLOR=1 TERM=dumb e pulsewright; FORCE_COLOR=0 e pulsewright; FORCE_COLOR= e pulsewright`, shows: "^yes\r\nno\r\nno\r\nyes\r\nno\r\nno\r\n$"},
	{name: "colour: none", line: `pulsewright -c nope; TERM=dumb NO_COLOR= FORCE_COLOR= pulsewright -c nope; FORCE_COLOR=1 pulsewright --color never -c nope`, code: 1, not: `\x1b\[`},
	{name: "glyphs", line: `pulsewright -c 'plot(sweep(lambda n: n * n, range(5))); key((0, 0)); print(map(), scope())'; LC_ALL=C.UTF-8 pulsewright --ascii -c 'plot(sweep(lambda n: n * n, range(5)))'`, env: []string{"LANG=C"}, shows: "result over n", not: "[^\x00-\x7e]"},
	{name: "glyphs: of a locale with UTF-8", line: `pulsewright -c 'wire((0, 0)); print(map())'; LC_ALL=C pulsewright -c 'wire((0, 0)); print(map())'; LC_ALL=C pulsewright --ascii -c 'wire((0, 0)); print(map())' | grep '⠶' || echo none`, shows: "(?s)⠶[^⠶]*none\r\n$"},
	{name: "width", line: `w() { awk '{ if (length > m) m = length } END { print (m > 40) (m > 80) }'; }; pulsewright -c 'help(fire)'; echo -; pulsewright --width 40 -c 'help(fire)' | w; pulsewright -c 'help(fire)' | w; pulsewright -c 'print("berth " * 30)' | w
for c in 30 200; do COLUMNS=$c pulsewright --json -c 'w = wire((0, 0), (3, 0)); fire(w[0], 2); run(); export("'$c'.csv")' 2>/dev/null >$c; done; cmp 30 200 && cmp 30.csv 200.csv && echo same`, shows: "(?m)^fire\\((?s:.*)-\r\n00\r\n10\r\n11\r\nsame\r\n$", not: "(?m)^[^\r\n]{81}"},
	{name: "pager", line: `pulsewright guide medium; echo -; pulsewright guide limits; echo -; PAGER=cat pulsewright guide medium; PAGER= pulsewright guide medium; pulsewright guide medium | cat; pulsewright -c 'w = wire((0, 0))
for i in range(60): fire(w, 1, at=i + 1)
run()'`, env: []string{"PAGER=sed s/^/paged:/"}, shows: "^paged:The medium(?s:.*)-\r\nLimits(?s:.*)-\r\nThe medium(?s:.*)\nThe medium(?s:.*)\nThe medium(?s:.*)live", not: "-\r\n(?s:.*)paged:"},
	{name: "pager: less", line: `mkdir bin; printf '#!/bin/sh\necho "less $*"; cat >/dev/null' >bin/less; chmod +x bin/less; unset PAGER; PATH=$PWD/bin:$PATH pulsewright guide medium`, shows: "^less -FRX .*q ends this[^\r]*\r\n$"},
	{name: "progress: not in a file", line: `timeout -s INT 1.6 pulsewright --workers 1 -c 'sweep(lambda n: [i for i in range(100000)] and n, range(1 << 20))' 2>errors; echo $?; cat errors`, shows: "124\r\n<command>:1:6: interrupted", not: " left"},
	{name: "machine output", line: `pulsewright --json -c 'k = key((0, 0), hold=1); press(k); print("aside"); run()' 2>/dev/null`,
		shows: `^\{"format":"pulsewright-events","version":\d+,"seed":1\}\r\n\{"bench":1,"event":1,"cause":0,"tick":1,"step":0,"turn":0,"part":1,"kind":"key","name":"","cell":\[0,0,0\],"what":"on","level":0\}\r\n\{"bench":1,"event":2,[^\r]*\}\r\n$`},
	{name: "machine output: CSV", line: `pulsewright -c 'k = key((0, 0), hold=1, name="the \"quay\", north"); press(k); run(); export("a.csv")' >/dev/null; od -c a.csv | grep -c '\\r  *\\n'; tr -d '\r' <a.csv`, shows: "^[1-9]\r\nevent,cause,time_ticks,time_steps,time_turns,[a-z_,]*\r\n(?s:.*)\"the \"\"quay\"\", north\""},
	{name: "repeatable", line: `for i in 1 2 3; do pulsewright --workers $i -c 'print(sweep(lambda n: n * rand(1000), range(50)), [rand(100) for i in range(9)])' >out$i; done; cmp out1 out2 && cmp out1 out3 && echo same; pulsewright --seed 2 -c 'print(sweep(lambda n: n * rand(1000), range(50)), [rand(100) for i in range(9)])' >out4; cmp -s out1 out4 || echo other`, shows: "^same\r\nother\r\n$"},
	{name: "tests", line: `printf 'def test_a(): expect_equal(1, 2)\ndef test_b(): pass\n' >a_test.star; pulsewright test --seed 7; echo $?; pulsewright test -v --run b a_test.star; echo $?; pulsewright test --run none; echo $?`, shows: `(?s)^a_test\.star:1: test_a: .*got +1.*want +2.*seed +7\r\n1 passed, 1 failed\r\n1\r\n.*test_b.*\r\n1 passed, 0 failed\r\n0\r\n.*2\r\n$`},
	{name: "errors", line: `pulsewright -c 'def g(n):
    if n: g(n - 1)
    else: pres(1)
def pres(x): wire(at=x, nmae="quay")
g(1)'`, code: 1, shows: `(?s)^<command>:4:18: wire: .*nmae.*mean name\?\r\n    def pres\(x\): wire\(at=x, nmae="quay"\)\r\n +\^\r\n.*<command>:5:2 at the top level.*<command>:2:12 in g.*<command>:3:15 in g.*<command>:4:18 in pres\r\n$`, not: `\.go|goroutine|starlark|\*`},
	{name: "completion scripts, manual", line: `for s in bash zsh fish powershell; do pulsewright completion $s | grep -c pulsewright; done; pulsewright man | head -1`, shows: `^([1-9]\d*\r\n){4}\.TH`},
}
