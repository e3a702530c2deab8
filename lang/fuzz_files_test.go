package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins/say"
)

// FuzzReadJournal reads any bytes as a journal: there is an error, or what is left of a conversation; cut anywhere, it is no longer than whole.
func FuzzReadJournal(f *testing.F) {
	var whole bytes.Buffer
	s, err := New(Config{Seed: 7})
	if err != nil {
		f.Fatal(err)
	}
	defer s.Close()
	s.Journal(&whole, "/quay")
	for _, src := range []string{"x = 1", "key((0, 0))", "fail('no')", "undo()", "print('\\x1b')"} {
		s.Command(context.Background(), src)
	}
	f.Add(whole.Bytes(), 10)
	f.Add([]byte("{}\n"), 0)
	f.Add([]byte(strings.Replace(whole.String(), `"kept":1`, `"kept":-1`, 1)), 100)
	f.Add([]byte("null\n[]\n"), 3)
	f.Fuzz(func(t *testing.T, data []byte, cut int) {
		p, err := ReadJournal(bytes.NewReader(data))
		if err != nil {
			return
		}
		q, err := ReadJournal(bytes.NewReader(data[:max(0, min(cut, len(data)))]))
		if err == nil && len(q.pieces) > len(data) || p.Empty() && len(p.pieces) > 0 {
			t.Errorf("%d pieces of %d bytes", len(q.pieces), len(data))
		}
	})
}

// FuzzArguments gives a script any name=value: it is taken or refused, and what was given can be written down again.
func FuzzArguments(f *testing.F) {
	for _, pair := range []string{"n=3", "n=", "=", "n=[1, 2]", "n='x'", "n=\x1b", "a b=1", "n=1=2", "\xff=\xff", "n=1e400", "None=None", "n=999999999999999999999999"} {
		f.Add(pair, "n")
	}
	f.Fuzz(func(t *testing.T, pair, name string) {
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out, Err: &out})
		if s.args.set([]string{pair}) != nil {
			return
		}
		if given := s.args.given(); given != pair && !strings.Contains(given, "=") {
			t.Errorf("%q became %q", pair, given)
		}
		for _, src := range []string{"print(arg('n', 1))", "print(arg('n'))", "print(arg(" + quoted(name) + ", 'x'))"} {
			s.Report(s.Command(context.Background(), src))
		}
		if safe := say.Printable(out.String()); safe != out.String() || strings.Contains(safe, "internal error") {
			t.Errorf("%q shows %q", pair, out.String())
		}
	})
}

// quoted is a text as the language writes it, as far as it can.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\r", `\r`, "\x00", `\x00`).Replace(s) + `"`
}

// FuzzLoad loads any text from a file of any name: it gives names, or an error with its place; the session goes on.
func FuzzLoad(f *testing.F) {
	for _, src := range []string{"x = 1", "def x(): return x", "x = [", "x = fail('no')", "load('./m.star', 'x')", "load('lib/checks.star', 'x')", "battery((0, 0))\nx = parts()", "\xff", "\ufeffx = 1", "x = '\x1b'", "x = []\nx.append(x)"} {
		f.Add("./m.star", src)
	}
	for _, name := range []string{"m.star", "./m", "../m.star", "/m.star", "own/m.star", "lib/m.star", "./\x00", ".//m.star", "./a/../m.star", ""} {
		f.Add(name, "x = 1")
	}
	f.Fuzz(func(t *testing.T, name, src string) {
		if tooGreedy.MatchString(src) || len(src) > 5000 {
			t.Skip()
		}
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "m.star"), []byte(src), 0o600); err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out, Err: &out, Dir: dir, Memory: 512 << 20, Workers: 1})
		ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
		defer cancel()
		s.Report(s.Command(ctx, "load("+quoted(name)+", 'x')\nprint(x)"))
		if safe := say.Printable(out.String()); safe != out.String() || strings.Contains(safe, "internal error") {
			t.Errorf("%q with %q shows %q", name, src, out.String())
		}
		if err := s.Command(context.Background(), "expect(True)"); err != nil {
			t.Errorf("the session does not answer: %v", err)
		}
	})
}
