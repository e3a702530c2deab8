package trial

import (
	"slices"
	"testing"

	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// TestBeyondTrial holds the words by which a change to what is frozen is known to what the interpreter says today; what only
// mentions them is none.
func TestBeyondTrial(t *testing.T) {
	s := stage.New()
	s.Names["far"] = outside{"far", "it lies outside"}
	stage.MustSession(t, s, `
xs, d, st = [1], {1: 2}, set([1])
p = probe(wire((0, 0)))
def grow():
    ys = xs
    ys += [2]
def join():
    e = d
    e |= {3: 4}
def item(): xs[0] = 2
def key(): d[2] = 3
def nested(): sweep(lambda n: xs.append(n), [1])
def nestedFail(): sweep(lambda n: fail("cannot append to frozen list"), [1])
def mentions(): fail("cannot append to frozen list")
def named(): press("frozen")
beyond = [lambda: xs.append(1), lambda: xs.extend([1]), lambda: xs.insert(0, 1), lambda: xs.remove(1), lambda: xs.pop(), lambda: xs.clear(),
    lambda: d.pop(1), lambda: d.clear(), lambda: d.update([(3, 4)]), lambda: d.setdefault(3, 4), lambda: st.add(2), lambda: st.discard(1),
    grow, join, item, key, nested, p.clear, lambda: far.name, lambda: far(), lambda: far["x"], lambda: {far: 1}, lambda: d.get(far)]
within = [mentions, nestedFail, named, lambda: xs[7], lambda: far + 1]
`)
	for _, v := range []string{"xs", "d", "st", "p"} {
		s.Names[v].Freeze()
	}
	for list, want := range map[string]bool{"beyond": true, "within": false} {
		for i, fn := range slices.Collect(starlark.Elements(s.Names[list].(*starlark.List))) {
			if _, err := starlark.Call(s.Thread, fn, nil, nil); err == nil || BeyondTrial(err) != want {
				t.Errorf("%s[%d]: %v: beyond a trial: %t, want %t", list, i, err, !want, want)
			}
		}
	}
}

// TestReadNamesFrozen: an error of read that only mentions the word is a result of the trial, not the end of the experiment.
func TestReadNamesFrozen(t *testing.T) {
	s := stage.New()
	if msg := s.Do(`
def build(f): return f.wire((0, 0))
def send(rig, n): fire(rig, n)
def read(rig): return {"warm": 1}["frozen"]
t = sweep(design("d", build, send, read, [1]))
expect_equal(t.column("read"), [None])
expect_equal(t.column("error"), ["read: key \"frozen\" not in dict"])
`); msg != "" {
		t.Error(msg)
	}
}
