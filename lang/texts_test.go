package lang

import (
	"context"
	"strings"
	"testing"
)

// What lies too deep in a value is refused where a text is made of it without a word: by t % v, and by the method format. All else of the two is as
// it was.
func TestTextsOfDeepValues(t *testing.T) {
	s := newSession(t, Config{})
	script := `
def lists(n):
    x = []
    for i in range(n): x = [x]
    return x

def structs(n):
    x = 1
    for i in range(n): x = struct(a=x)
    return x

def given(t, v):
    t %= v
    return t

deep = lists(5000)
form = "{}!".format
for f in [
    lambda: "%s" % deep, lambda: "%s" % (deep,), lambda: "%d %r" % (1, structs(5000)), lambda: "%s" % {"a": deep},
    lambda: "{}".format(deep), lambda: "{a}".format(a=deep), lambda: "{0} {1}".format(1, *[deep]), lambda: form(structs(5000)),
    lambda: getattr("{}", "format")(deep), lambda: [t.format(deep) for t in ["{}"]], lambda: given("%s", deep),
]:
    expect_error(f, "lie more than 1000 deep in one another in this")

expect_equal(form(3), "3!")
expect_equal(str(form), str("{}".upper).replace("upper", "format"))
expect_equal(type("{}".format), type("{}".upper))
expect_equal("{0} {1} {a}".format(1, *[2], **{"a": 3}), "1 2 3")
expect_equal("%d-%s" % (3, [1, (2,)]), "3-[1, (2,)]")
expect_equal(given("%s!", "quay"), "quay!")
expect_equal(given(17, 5), 2)
n = 17
n %= 5
expect_equal((n, 17 % n, n % 2), (2, 1, 0))
expect_equal(struct(format=7).format, 7)
expect_equal(getattr("ab", "upper")(), "AB")
expect_equal(getattr(struct(format=7), "format"), 7)
expect_equal(getattr(struct(a=7), "b", 9), 9)
expect_equal(sweep(lambda n: "%s{}".format(n) % (n,), [1]).rows, ((1, "11"),))
expect_equal(sorted([n for n in dir("") if n == "format"]), ["format"])
`
	if err := s.Command(context.Background(), script); err != nil {
		t.Error(err)
	}
	for src, want := range map[string]string{
		"b = 3 % 'x'": ":7: unknown binary op: int % string", "a = '%s %s' % (1,)": ":13: not enough arguments for format string",
		"'%s' % deep": ":6: values lie more than 1000", "'{}'.format()": "tuple index out of range", "'{}'.formad": "string has no .formad",
		"getattr()": "getattr: got 0 arguments", "·text(1)": "unexpected character ·",
	} {
		if err := s.Command(context.Background(), src); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", src, err, want)
		}
	}
}

// Values that lie ever deeper in one another are stopped before the interpreter goes into one and does not come back: wherever they are held, in
// a trial, and in a file that is loaded.
func TestDeeperAndDeeper(t *testing.T) {
	s := newSession(t, Config{})
	for _, src := range []string{
		"x = ()\nfor i in range(3000000): x = (x,)\n{}[x]\n",
		"def f():\n    x = ()\n    for i in range(3000000): x = (i, x)\n    return {x: 1}\nf()\n",
		"def f(n):\n    x = ()\n    for i in range(3000000): x = (x, i)\n    return x in {}\nsweep(f, [1, 2])\n",
		"def f(n):\n    all = {}\n    for i in range(3000000): all = struct(a=all)\n    return set([all])\nsweep(f, [1])\n",
	} {
		if err := s.Command(context.Background(), src); err == nil || !strings.Contains(err.Error(), "values lie more than 20000 deep in one another") {
			t.Errorf("%s: %v", src, err)
		}
	}
	chain := "x = None\nfor i in range(15000): x = (i, x)\nn = 0\nfor i in range(500000): n += 1\nexpect_equal(n, 500000)\n"
	if err := s.Command(context.Background(), chain); err != nil {
		t.Error(err)
	}
}
