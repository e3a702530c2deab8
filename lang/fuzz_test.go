package lang

import (
	"bytes"
	"context"
	"io/fs"
	"regexp"
	"strings"
	"testing"
	"time"

	"pulsewright/builtins/say"
	"pulsewright/scripts"
)

// tooGreedy are texts that ask for gigabytes in one operation, which nothing inside a process can stop (the guide
// says so): long numbers, and signs that make numbers, strings and lists grow by multiplication.
var tooGreedy = regexp.MustCompile(`[0-9]{5,}|<<|\*|0[xX]|[0-9][eE]`)

// FuzzExec types any text: nothing panics, it ends, and the session still answers. What fails leaves the bench as it was.
func FuzzExec(f *testing.F) {
	files, err := fs.Glob(scripts.FS, "*.star")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		src, err := fs.ReadFile(scripts.FS, file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(src))
	}
	for _, chunks := range conversations {
		f.Add(strings.Join(chunks, "\n"))
	}
	for _, src := range []string{
		harbourRig, "press?", "?", "x = f'{a}'", "undo()", "redo()", "save('x.star')", "load('lib/x.star', 'y')", "fresh()",
		"key((0,0)); press((0,0)); run(); back(1)", "log(story=True)", "def f(): return f()\nf()", "while True: pass", "x = [1]\nx.append(x)\nx",
		"help()", "fail('x')", "\x00", "a, (b, c) = 1", "for i in 3: pass", "del x", "1 < 2 < 3", "'\xff'", "\"\\xff\"", "(((((", "def f(x:", "@", "x = (\n\n", "_ = 1\n_",
		"def w(state, live, told): return 'b' if live.back else 'a'\nk = kind('x', ['a', 'b'], w, then={'b': 2}, feeds={'b': 'front'}, says={'a': None})\np = k((1, 0), '+x', state='b')\nnudge(p)\nrun(ticks=9)\nwhynot(p)\nprint(map())\nkind('x', ['b', 'a'], w)((0, 0), '+y')",
		"expect_error(lambda: boom(), 'x')", "struct(a=1).b", "{}['\x1b[31m']", "gate((0,0),'+x','not',ticks=1); nudge((0,0)); run(ticks=9)",
	} {
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src string) {
		if tooGreedy.MatchString(src) || len(src) > 5000 {
			t.Skip()
		}
		var out bytes.Buffer
		s := newSession(t, Config{Out: &out, Err: &out, Memory: 512 << 20, Workers: 1})
		ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
		defer cancel()
		before := s.env.Bench.Fingerprint()
		began := time.Now()
		err := s.Command(ctx, src)
		if took := time.Since(began); took > 10*time.Second {
			t.Errorf("took %v", took)
		}
		s.Report(err)
		if err != nil && !Interrupted(err) && s.env.Bench.Fingerprint() != before {
			t.Errorf("the bench has changed after %v", err)
		}
		if err != nil && strings.Contains(err.Error(), "internal error") {
			t.Errorf("%q: %v", src, err)
		}
		if safe := say.Printable(out.String()); safe != out.String() {
			t.Errorf("%q would drive the terminal: %q", src, out.String())
		}
		Incomplete(src)
		if err := s.Command(context.Background(), "expect(True)"); err != nil && !s.names.own["expect"] {
			t.Errorf("the session does not answer: %v", err)
		}
	})
}
