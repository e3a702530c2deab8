package hold_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins/hold"
	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// madeBy runs a script and gives its x.
func madeBy(t *testing.T, script string) starlark.Value {
	t.Helper()
	s := stage.New()
	stage.MustSession(t, s, script)
	return s.Names["x"]
}

const nest = `
def nest(n, x=0):
    for i in range(n):
        x = [x]
    return x
`

// TestCheckDepth: what lies too deep is refused, in whatever order it is come to; what is shared or holds itself is not.
func TestCheckDepth(t *testing.T) {
	for script, deep := range map[string]bool{
		"x = 1": false, "x = [[1], (2, {3: [4]})]": false, "x = nest(1000)": false, "x = nest(1001)": true, "x = nest(100000)": true,
		"x = nest(500, x=struct(a=(nest(498),)))": false, "x = nest(500, x=struct(a=(nest(499),)))": true, "x = {1: nest(1000)}": true, "x = {(1, 2): nest(999)}": false,
		"x = [[]]\nx[0].append(x)":                                   false,
		"x = [[0]]\nfor i in range(2000): x.append([x[-1]])":         true, // nothing is come to deep down, but all lie in one another
		"x = [0]\nfor i in range(200): x = [x, x]":                   false,
		"def f(y=nest(3000)): pass\nx = [f]":                         false, // nobody who prints it looks into a function
		"x = table([[1, (2, 3)]])":                                   false,
		"x = [0]\nfor i in range(20000): x.append((i, [i], {i: i}))": false,
	} {
		err := hold.CheckDepth(madeBy(t, nest+script))
		var tooDeep *hold.TooDeep
		if (err != nil) != deep || deep && !errors.As(err, &tooDeep) {
			t.Errorf("%s: %v", script, err)
		}
	}
}

// TestWalk: what holds comes before what it holds, each that holds others once, or with WalkAll for each way to it.
func TestWalk(t *testing.T) {
	x := madeBy(t, `
def holding(a, l=[7]):
    def f(b=8): return a
    return f
shared = [1]
x = [shared, (2, shared), {"k": shared}, set([3]), struct(a=4), holding(5), shared.append]
x.append(x)
`)
	all := func(walk func(starlark.Value, func(hold.Held) bool) error) string {
		var seen []string
		if err := walk(x, func(h hold.Held) bool {
			if hold.Plain(h.Value) {
				seen = append(seen, h.Value.String())
			}
			return true
		}); err != nil {
			t.Error(err)
		}
		return strings.Join(seen, " ")
	}
	if got, want := all(hold.Walk), `1 2 "k" 3 4 5 8`; got != want {
		t.Errorf("once: %s, want %s", got, want)
	}
	if got, want := all(hold.WalkAll), `1 2 1 "k" 1 3 4 5 8 1`; got != want {
		t.Errorf("each way: %s, want %s", got, want)
	}
}

// TestFreeze: all that lies in a value is frozen, through functions that hold themselves, too; what cannot be frozen is an error and not the
// end of the process.
func TestFreeze(t *testing.T) {
	for script, want := range map[string]string{
		"l = []\ndef f(): return l\nx = f":                                                                         "",
		"l = []\nx = [struct(a=(1, {2: l}))]":                                                                      "",
		"def o(l):\n  def f(n): return f(n) if l else l\n  return f\nl = []\nx = o(l)":                             "",
		"def o(l):\n  def f(): return g()\n  def g(): return f() or h\n  h = [f, l]\n  return h\nl = []\nx = o(l)": "holds itself",
		"def o(l):\n  def f(): return h\n  h = [f, l]\n  return h\nl = []\nx = o(l)":                               "", // the list ends the round
		"def o(l):\n  def f(): return f\n  return (f, l)\nl = []\nx = o(l)":                                        "",
		"def o(l):\n  def f(): return f\n  return {1: (f, l)}\nl = []\nx = o(l)":                                   "holds itself",
		"def o(l):\n  def f(): return f\n  return table([[f, l]])\nl = []\nx = o(l)":                               "holds itself",
		"l = []\nx = nest(100000)":                                                                                 "1000 deep",
		"l = []\nx = table([[l]])":                                                                                 "",
		"l = []\nx = l.append":                                                                                     "",
		"l = []\nx = probe(wire((0, 0))).clear":                                                                    "",
	} {
		s := stage.New()
		stage.MustSession(t, s, nest+"def made():\n    "+strings.ReplaceAll(script, "\n", "\n    ")+"\n    return x, l\nx, l = made()")
		err := hold.Freeze(s.Names["x"])
		if (err != nil) != (want != "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%s\n%v, want %q", script, err, want)
		}
		reached := !strings.Contains(script, "nest(") && !strings.Contains(script, "probe(")
		if msg := s.Do("l.append(1)"); want == "" && reached && !strings.Contains(msg, "frozen") {
			t.Errorf("%s\nits list is not frozen: %s", script, msg)
		}
	}
}

// TestChanger: what is shared stays shared, what does not change stays itself, what holds itself does so again.
func TestChanger(t *testing.T) {
	x := madeBy(t, `
shared = [len]
x = struct(a=shared, b=(shared, 2), c=(3, 4), d={len: set([len, 5])}, e=struct(f=6))
shared.append(shared)
`)
	v, err := hold.NewChanger(func(h hold.Held) (starlark.Value, error) {
		if hold.Same(h.Value, starlark.Universe["len"]) {
			return starlark.MakeInt(9), nil
		}
		return nil, nil
	}).Of(x)
	if want := `struct(a = [9, [...]], b = ([9, [...]], 2), c = (3, 4), d = {9: set([9, 5])}, e = struct(f = 6))`; err != nil || v.String() != want {
		t.Errorf("%v (%v), want %s", v, err, want)
	}
	attr := func(v starlark.Value, name string) starlark.Value {
		w, _ := v.(starlark.HasAttrs).Attr(name)
		return w
	}
	if a, b := attr(v, "a"), attr(v, "b").(starlark.Tuple)[0]; !hold.Same(a, b) || hold.Same(a, attr(x, "a")) {
		t.Error("what is shared is not shared any more, or not made anew")
	}
	if !hold.Same(attr(v, "e"), attr(x, "e")) || !hold.Same(attr(v, "c"), attr(x, "c")) {
		t.Error("what does not change is made anew")
	}
	if !slices.Equal([]string{"a", "b", "c", "d", "e"}, v.(starlark.HasAttrs).AttrNames()) {
		t.Error(v)
	}
}

// TestChangerParts: a part of a tuple lies where the tuple does, and is another value.
func TestChangerParts(t *testing.T) {
	x := madeBy(t, "t = ([len], 2, 3)\nx = [t, t[:1], t[:2], t[1:], {t[1:2]: t}]")
	v, err := hold.NewChanger(func(hold.Held) (starlark.Value, error) { return nil, nil }).Of(x)
	if err != nil || v.String() != x.String() || hold.Same(v, x) {
		t.Errorf("%v (%v), want %v", v, err, x)
	}
}

// TestUntil: whatever goes through many values ends when it is to end, with that error; and what is gone through in more ways than anyone can
// wait for is refused.
func TestUntil(t *testing.T) {
	stopped := errors.New("stopped")
	stop := hold.Until(func() error { return stopped })
	for _, script := range []string{
		"x = list(range(9000))", "x = tuple(range(9000))", "x = set(range(9000))", "x = {i: i for i in range(9000)}",
		"x = [[i] for i in range(9000)]", "x = [(i, len) for i in range(9000)]", "x = [struct(i=i) for i in range(9000)]", "x = table([[i] for i in range(9000)])",
	} {
		x := madeBy(t, script)
		same := func(hold.Held) (starlark.Value, error) { return nil, nil }
		_, changed := stop.NewChanger(same).Of(x)
		if holder := strings.Contains(script, "table"); holder {
			changed = stopped // it is not gone into
		}
		for of, err := range map[string]error{"Freeze": stop.Freeze(x), "CheckDepth": stop.CheckDepth(x), "Walk": stop.Walk(x, func(hold.Held) bool { return true }), "Of": changed} {
			if err != stopped {
				t.Errorf("%s of %s: %v", of, script, err)
			}
		}
		if _, err := hold.NewChanger(same).Of(x); hold.CheckDepth(x) != nil || hold.Freeze(x) != nil || err != nil {
			t.Error(script, err)
		}
	}
	twice := madeBy(t, "def made():\n  x = (len, 2)\n  for i in range(60): x = (x, x)\n  return [x]\nx = made()")
	if err := hold.CheckDepth(twice); err == nil || !strings.Contains(err.Error(), "in more than 200000000 ways") {
		t.Error(err)
	}
	if err := hold.Freeze(twice); err == nil || !strings.Contains(err.Error(), "in more than 200000000 ways") {
		t.Error(err)
	}
}
