package lang

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"go.starlark.net/starlark"

	"pulsewright/builtins/say"
	"pulsewright/lang/source"
)

// conversations are chunks, one after the other. A session must say what the interpreter says
// of the same text as one file.
var conversations = map[string][]string{
	"a function sees a name as it is when called": {"n = 1", "def f(): return n", "n = 2", "print(f())"},
	"a redefined helper is seen by its callers":   {"def g(): return 1", "def f(): return g()", "def g(): return 2", "print(f())"},
	"augmented assignment":                        {"n = 1", "n += 1", "n *= 10", "print(n)"},
	"augmented assignment and a function":         {"n = 1", "def f(): return n", "n += 1", "print(f())"},
	"augmented assignment of a list is in place":  {"xs = [1]", "ys = xs", "xs += [2]", "print(ys)"},
	"a list changed by a function":                {"xs = []", "def add(x): xs.append(x)", "add(1)", "add(2)", "print(xs)"},
	"sorted by a lambda":                          {"xs = [3, 1, 2]", "print(sorted(xs, key=lambda x: -x))"},
	"sorted by a lambda that reads a name":        {"k = -1", "xs = [3, 1, 2]", "xs = sorted(xs, key=lambda x: k * x)", "print(xs)"},
	"a lambda kept in a name":                     {"n = 1", "f = lambda x: x + n if x else 0", "n = 5", "print(f(1))"},
	"a lambda kept, the name changed":             {"n = 1", "f = lambda: n", "n = 2", "print(f())"},
	"a lambda put in place of a function":         {"def f(): return 1", "def g(): return f()", "f = lambda: 2", "print(g())"},
	"a lambda in a list with a name reused":       {"fs = []", "fs = fs + [lambda: len(fs)]", "fs = fs + [lambda: 10 * len(fs)]", "print([f() for f in fs])"},
	"lambdas of a loop share its variable":        {"fs = []", "for i in range(3):\n    fs.append(lambda: i)\n", "print([f() for f in fs])", "i = 7", "print(fs[0]())"},
	"a loop assigns names":                        {"n = 0", "for i in range(4):\n    n += i\n", "print(n, i)"},
	"a while loop":                                {"n = 0", "while n < 3:\n    n += 1\n", "print(n)"},
	"an if that defines":                          {"if True:\n    def f(): return 1\n", "print(f())"},
	"an if that assigns":                          {"n = 1", "if n:\n    n = 2\nelse:\n    m = 3\n", "print(n)"},
	"unpacking":                                   {"a, (b, [c, d]) = 1, (2, [3, 4])", "a, b = b, a", "print(a, b, c, d)"},
	"unpacking into elements":                     {"xs = [0, 0]", "xs[0], xs[1] = 1, 2", "d = {}", "d['k'], n = 3, 4", "print(xs, d, n)"},
	"a name of the language is given anew":        {"def f(): return len([1])", "len = lambda xs: 99", "print(f(), len([]))"},
	"recursion":                                   {"def fib(n): return n if n < 2 else fib(n - 1) + fib(n - 2)", "print(fib(15))"},
	"mutual recursion in one chunk":               {"def even(n): return n == 0 or odd(n - 1)\ndef odd(n): return n != 0 and even(n - 1)\n", "print(even(10))"},
	"one of two in a chunk is redefined":          {"def g(): return 1\ndef f(): return g()\n", "def g(): return 2", "print(f())"},
	"two statements on a line":                    {"a = 1; b = 2; a += b", "print(a)"},
	"default values are taken once":               {"n = 1", "def f(x=n): return x", "n = 2", "print(f())"},
	"closures":                                    {"def counter():\n    c = [0]\n    def next():\n        c[0] += 1\n        return c[0]\n    return next\n", "n = counter()", "n()", "print(n())"},
	"comprehensions have their own names":         {"x = 1", "ys = [x * x for x in range(3)]", "print(x, ys)"},
	"a comprehension reads a name":                {"n = 10", "def f(): return [n + i for i in range(2)]", "n = 20", "print(f())"},
	"a docstring":                                 {"def f():\n    \"\"\"Says nothing.\"\"\"\n    return 1\n", "print(f())"},
	"a dict of functions":                         {"n = 1", "d = {'f': lambda: n}", "n += 1", "print(d['f']())"},
	"a function kept under another name":          {"def f(): return 1", "g = f", "def f(): return 2", "print(g(), f())"},
	"break, continue and pass":                    {"out = []", "for i in range(9):\n    if i == 1: continue\n    if i == 4: break\n    out.append(i)\n", "print(out)"},
	"nested assignment of an attribute's list":    {"s = struct(xs=[1])", "s.xs.append(2)", "print(s.xs)"},
	"a set":                                         {"s = set([1])", "s |= set([2])", "print(s)"},
	"strings are compared and formatted":            {"a = 'x' * 3", "print('%s %d' % (a, 3), '{} {k}'.format(a, k=1))"},
	"deep nesting of names in parentheses":          {"((a), [b, (c)]) = (1, [2, 3])", "print(a + b + c)"},
	"a function of a later name, called when it is": {"def f(): return later()\ndef later(): return 5\n", "print(f())"},
}

// asFile is what the interpreter prints for a whole text as a file.
func asFile(t *testing.T, src string, base starlark.StringDict) string {
	t.Helper()
	var out strings.Builder
	thread := &starlark.Thread{Print: func(_ *starlark.Thread, msg string) { out.WriteString(msg + "\n") }}
	opts := *source.Dialect
	opts.LoadBindsGlobally = false
	if _, err := starlark.ExecFileOptions(&opts, thread, "file.star", src, base); err != nil {
		return out.String() + "error\n"
	}
	return out.String()
}

func TestSessionBehavesLikeAFile(t *testing.T) {
	for name, chunks := range conversations {
		t.Run(name, func(t *testing.T) {
			var typed, run, errs bytes.Buffer
			s := newSession(t, Config{Out: &typed, Err: &errs})
			for _, c := range chunks {
				if err := s.Command(context.Background(), strings.TrimSuffix(c, "\n")+";"[:semicolon(c)]); err != nil {
					t.Fatalf("%q: %v", c, err)
				}
			}
			whole := strings.Join(chunks, "\n") + "\n"
			f := newSession(t, Config{Out: &run, Err: &errs})
			if err := f.Exec(context.Background(), "file.star", whole); err != nil {
				t.Fatal(err)
			}
			want := asFile(t, whole, s.names.base)
			if typed.String() != want {
				t.Errorf("typed: %q, in a file: %q", typed.String(), want)
			}
			if run.String() != want {
				t.Errorf("run: %q, in a file: %q", run.String(), want)
			}
		})
	}
}

// semicolon is 1 if a chunk is a bare expression, whose value should not be shown here.
func semicolon(chunk string) int {
	if strings.Contains(chunk, "\n") || strings.Contains(chunk, "=") || strings.HasPrefix(chunk, "def") {
		return 0
	}
	return 1
}

// What a session can do and a file cannot be asked about.
func TestSessionOnly(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Err: &out})
	for _, c := range []struct{ src, want string }{
		{"1 + 2", "3\n"},
		{"_", "3\n"},
		{"_ + 1;", ""},
		{"_", "4\n"},
		{"None", ""},
		{"_", "4\n"},
		{"1; 2", "1\n2\n"},
		{"'a\\tb'", "\"a\\tb\"\n"},
		{"print('\\x1b[31mred')", "\\x1b[31mred\n"},
		{"def f():\n    \"\"\"Says hello.\"\"\"\n    return 'hello'", ""},
		{"f()  # a comment; with a semicolon;", "\"hello\"\n"},
		{"f() ;  # silent", ""},
	} {
		out.Reset()
		if err := s.Command(context.Background(), c.src); err != nil {
			t.Fatalf("%q: %v", c.src, err)
		}
		if out.String() != c.want {
			t.Errorf("%q shows %q, want %q", c.src, out.String(), c.want)
		}
	}
}

// A failed command leaves names, and what is in their lists and dicts, as they were.
func TestFailedCommandChangesNothing(t *testing.T) {
	s := newSession(t, Config{})
	must := func(src string) {
		t.Helper()
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
	}
	must("n = 1\nxs = [1, [2]]\nd = {'k': [3]}\nst = set([4])\ndef f(acc=[]):\n    acc.append(1)\n    return len(acc)\n")
	must("k = key((0, 0))")
	print, at := s.env.Bench.Fingerprint(), s.Now()
	bad := "n = 2; m = 3; xs[1].append(9); d['k'] += [9]; d['new'] = 1; st.add(9); f(); press(k); wire((1, 0)); run(); fail('enough')"
	if err := s.Command(context.Background(), bad); err == nil {
		t.Fatal("no error")
	}
	if s.env.Bench.Fingerprint() != print || s.Now() != at {
		t.Error("the bench has changed")
	}
	if s.names.live.Has("m") {
		t.Error("m is still there")
	}
	must("expect_equal([n, xs, d, st, f()], [1, [1, [2]], {'k': [3]}, set([4]), 1])")
}

func TestUndoRedo(t *testing.T) {
	s := newSession(t, Config{})
	must := func(src string) {
		t.Helper()
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
	}
	must("xs = []")
	must("k = key((0, 0)); wire((1, 0), (3, 0))")
	must("press(k); run(); xs.append(1)")
	must("expect_equal(now().tick, 1)")
	must("xs.append(2)")
	must("undo()")
	must("expect_equal(xs, [1])")
	must("undo()")
	must("expect_equal(xs, []); expect_equal(now().tick, 0)")
	must("redo()")
	must("expect_equal(xs, [1]); expect_equal(now().tick, 1); expect_equal(k.state, 'on')")
	must("redo()")
	must("expect_equal(xs, [1, 2])")
	must("undo()")
	must("xs.append(3)") // ends what could be redone
	if err := s.Command(context.Background(), "redo()"); err == nil || !strings.Contains(err.Error(), "nothing to redo") {
		t.Errorf("redo: %v", err)
	}
	must("fresh()")
	must("expect_equal(len(parts()), 0)")
	must("undo()")
	must("expect_equal(len(parts()), 4); expect_equal(k.state, 'on')")
	if err := s.Command(context.Background(), "x = 1; undo()"); err == nil || !strings.Contains(err.Error(), "a command of its own") {
		t.Errorf("undo among others: %v", err)
	}
	if err := s.Exec(context.Background(), "a.star", "undo()"); err == nil {
		t.Error("a script can undo")
	}
}

// TestQuietTicks: ticks in which nothing happens are taken back as well, by undo and by a command that fails.
func TestQuietTicks(t *testing.T) {
	s := newSession(t, Config{})
	must := func(src string) {
		t.Helper()
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
	}
	must("n = 1")
	must("run(5)")
	must("run(5)")
	must("expect_equal((now().tick, n), (10, 1))")
	must("undo()")
	must("expect_equal((now().tick, n), (5, 1))")
	must("undo()")
	must("expect_equal((now().tick, n), (0, 1))")
	must("redo()")
	must("expect_equal(now().tick, 5)")
	if err := s.Command(context.Background(), "run(3); fail('enough')"); err == nil {
		t.Fatal("no error")
	}
	must("expect_equal(now().tick, 5)")
}

// TestUndoNotes: what words change beside bench and names is taken back too: by undo, by a command that fails, and by
// expect_error.
func TestUndoNotes(t *testing.T) {
	s := newSession(t, Config{})
	must := func(src string) {
		t.Helper()
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
	}
	const change = "falls('late'); rand(9); watch(w); design('b', f, f, f, [1]); design('a', f, f, f, [2])"
	const before = "expect_equal((falls(), [(d.name, d.over) for d in designs()], len(watch().rows)), ('early', [('a', (1,))], 0))"
	const after = "expect_equal((falls(), [(d.name, d.over) for d in designs()], len(watch().rows)), ('late', [('a', (2,)), ('b', (1,))], 1))"
	must("w = wire((0, 0)); f = lambda *args: None")
	must("design('a', f, f, f, [1])")
	must(before)
	if err := s.Command(context.Background(), change+"; fail('enough')"); err == nil {
		t.Fatal("no error")
	}
	must(before)
	must("expect_error(lambda: [falls('late'), design('c', f, f, f, [1]), fail('enough')])")
	must(before)
	must(change)
	must(after)
	must("undo()")
	must(before)
	must("redo()")
	must(after)
}

// TestLongList: a list that does not fit on a line is shown one thing a line, if these are few and long.
func TestLongList(t *testing.T) {
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Width: func() int { return 40 }})
	for src, want := range map[string]string{
		"[wire((x, 0)) for x in range(3)]": "[wire at (0, 0),\n wire at (1, 0),\n wire at (2, 0)]\n",
		"list(range(30))":                  "[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28, 29]\n",
		"['short', 'list']":                "[\"short\", \"list\"]\n",
	} {
		out.Reset()
		if err := s.Command(context.Background(), src); err != nil {
			t.Fatal(err)
		}
		if got := out.String(); got != want {
			t.Errorf("%s shows\n%swant\n%s", src, got, want)
		}
	}
}

// A struct wider than the screen breaks between its fields, never inside one.
func TestStructBreaksBetweenFields(t *testing.T) {
	for _, width := range []int{40, 80} {
		var out bytes.Buffer
		s, err := New(Config{Out: &out, Dir: t.TempDir(), Width: func() int { return width }})
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		for _, line := range []string{`l = struct(armed=False, cell=(0, 0), facing="+y", kind="link", name="the first, of the quay", queued=False, reads=[(1, 0), (0, -1)], timer=False, told_by=["wire at (1, 0)"])`, `l`} {
			out.Reset()
			if err := s.Command(t.Context(), line); err != nil {
				t.Fatal(err)
			}
		}
		got := out.String()
		for line := range strings.Lines(got) {
			if say.Columns(strings.TrimSuffix(line, "\n")) > width {
				t.Errorf("wider than %d columns: %s", width, line)
			}
		}
		if !strings.HasPrefix(got, "struct(armed = False,") || strings.Count(got, "\n") < 3 || !strings.Contains(got, `name = "the first, of the quay",`) {
			t.Errorf("at %d columns: %s", width, got)
		}
	}
}
