package lang

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// deepScript makes values in which others lie millions deep, and functions that hold themselves.
const deepScript = `
def nest(n):
    x = []
    for i in range(n):
        x = [x]
    return x

def tuples(n):
    x = ()
    for i in range(n):
        x = (x,)
    return x

def recursive():
    def product(n):
        return 1 if n < 2 else n * product(n - 1)
    return product

def mutual():
    def even(n):
        return n == 0 or odd(n - 1)
    def odd(n):
        return n != 0 and even(n - 1)
    return even

def captured(x):
    return lambda n: len(x)

def line(more):
    def build(f):
        w = f.wire((0, 0))
        return struct(input=w, out=probe(w), more=more)
    return design("line", build, lambda rig, n: fire(rig.input, n), lambda rig: rig.out.width, [1, 2])

deep, dark = nest(20000), tuples(20000)
product, even, products = recursive(), mutual(), [recursive()]
`

// TestDeepValues: a value in which others lie millions deep is an error wherever it is given to a word, and does not end the process; nor does a
// function that holds itself, which trials can use.
func TestDeepValues(t *testing.T) {
	dir := t.TempDir()
	os.WriteFile(filepath.Join(dir, "deep.star"), []byte("def nest(n):\n    x = []\n    for i in range(n): x = [x]\n    return x\ny = nest(100000)\n"), 0o644)
	var out bytes.Buffer
	s := newSession(t, Config{Out: &out, Dir: dir})
	if err := s.Command(context.Background(), deepScript); err != nil {
		t.Fatal(err)
	}
	const tooDeep = "lie more than 1000 deep in one another in this "
	for src, want := range map[string]string{
		"print(nest(100000))": tooDeep + "list", "str(dark)": tooDeep + "tuple", "repr(dark)": tooDeep + "tuple", "fail(deep)": tooDeep + "list",
		"json.encode(deep)": tooDeep + "list", `json.decode("[" * 2000000)`: tooDeep + "text", `json.indent("{\"a\":" * 2000000)`: tooDeep + "text",
		"sweep(lambda n: 1, [nest(100000)])": tooDeep + "list", "sweep(lambda n: nest(5000), [1])": tooDeep + "list", "sweep(captured(deep), [1])": tooDeep + "function",
		"sweep(lambda n: len(deep), [1])": "outside the trial", "table([[deep]])": tooDeep + "list", "expect_equal(deep, 1)": tooDeep + "list",
		"pad(dark, 3)": tooDeep + "tuple", "wire(dark)": tooDeep + "tuple", "frame(at=dark)": "for parameter at: values " + tooDeep + "tuple", "help(deep)": tooDeep + "list",
		"survey(line(nest(5000)))": tooDeep, "sweep(line(product))": "the rig cannot be frozen: it holds a function that holds itself", "sweep(line(products))": "it holds a function that holds itself",
		"sweep(lambda n: products[0](n), [3])": "products cannot be used in a trial: it holds a function that holds itself",
		`load("./deep.star", "y")`:             tooDeep + "list",
	} {
		err := s.Command(context.Background(), src)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", src, err, want)
		}
	}
	for src, want := range map[string]string{
		"deep": "a list: values " + tooDeep + "list, want at most 1000; it is kept in _\n", "nest(3)": "[[[[]]]]\n",
		"sweep(product, [1, 4]).rows": "((1, 1), (4, 24))\n", "sweep(lambda n: even(n), [2, 3]).rows": "((2, True), (3, False))\n",
		"sweep(line(lambda: product)).rows": "((1, 1, True, 1), (2, 2, True, 1))\n", "len(json.decode(json.encode(nest(900))))": "1\n",
		`json.decode("\"" + "[" * 3000 + "\"") == "[" * 3000`: "True\n",
	} {
		out.Reset()
		if err := s.Command(context.Background(), src); err != nil || out.String() != want {
			t.Errorf("%s shows %q (%v), want %q", src, out.String(), err, want)
		}
	}
}
