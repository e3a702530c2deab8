package lang

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// ownDesign is a line of repeaters of a kind of a module's own.
const ownDesign = `
load("./mine.star", "hands")
def build(f, size=4):
    w = f.wire((0, 0))
    for i in range(size):
        f.put(hands, (2 * i + 1, 0), "+x")
        f.wire((2 * i + 2, 0))
    return struct(input=w, out=probe(f.part((2 * size, 0))), kind=hands)
def send(rig, n): fire(rig.input, n)
def read(rig): return rig.out.width
log(False)
line = design("line of hands", build, send, read, range(2, 6), author="harbour office", world=world("quay", kinds=[hands]), pitch=(2, 0))
two = design("line of gates", lambda f, size=4: gates(f, size), send, read, range(2, 6))
def gates(f, size):
    w = f.wire((0, 0))
    for i in range(size):
        f.gate((2 * i + 1, 0), "+x", "buf", pads=[(-1, 0)])
        f.wire((2 * i + 2, 0))
    return struct(input=w, out=probe(f.part((2 * size, 0))))
print(sweep(line))
s = survey(line, travel=[2])
print(s)
expect(s.holds, str(s))
e = expandable(line, upto=8)
print(e)
r = recovery(line)
print(r)
expect_equal(r.ticks, recovery(two).ticks)
print(compare([line, two]))
print(datasheet(line).text)
`

// TestParallelOwnKinds: designs of a kind of one's own go through all experiments, the same with any number of workers; sessions at the same time, that
// load the kind from one file, do not disturb each other.
func TestParallelOwnKinds(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"main.star": ownDesign, "mine.star": `
seen = ["on", "off"]
def _hands(state, live, told): return seen[0] if live.back or live.forced else seen[1]
hands = kind("hands", ["off", "on"], _hands, pads=["back"], feeds={"on": "front"}, letter="h")
`} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	workers := []int{1, 2, 8}
	texts, errs := make([]string, len(workers)), make([]error, len(workers))
	var all sync.WaitGroup
	for i, n := range workers {
		all.Go(func() {
			var out bytes.Buffer
			s, err := New(Config{Out: &out, Err: &out, Dir: dir, Seed: 1, Workers: n})
			if err == nil {
				err = s.ExecFile(t.Context(), filepath.Join(dir, "main.star"), nil)
				s.Close()
			}
			texts[i], errs[i] = out.String(), err
		})
	}
	all.Wait()
	for i, n := range workers {
		if errs[i] != nil {
			t.Fatalf("%d workers: %v\n%s", n, errs[i], texts[i])
		}
		if texts[i] != texts[0] {
			t.Errorf("%d workers say\n%s\none says\n%s", n, texts[i], texts[0])
		}
	}
	for _, want := range []string{"hands", `world "quay"`, "at any size"} {
		if !strings.Contains(texts[0], want) {
			t.Errorf("%q is not in\n%s", want, texts[0])
		}
	}
}

// TestOwnKindErrorPlaces: what is wrong with a kind is said at its place, in a file as in a module.
func TestOwnKindErrorPlaces(t *testing.T) {
	const head = "def w(state, live, told): return \"b\" if live.back else \"a\"\ndef bad(state, live, told): return live.side\n"
	for _, c := range []struct{ call, want string }{
		{`kind("x", ["a", "c"], w)`, `wants("a", live(back = True`},
		{`kind("x", ["a", "b"], bad)`, "fails: "},
		{`kind("x", ["a", "b"], w, pads=["bak"])`, "did you mean back?"},
		{`kind("x", ["a", "b", "c", "d", "e", "f", "g", "h"], w, pads=["back", "front", "sides", "far_back", "far_front"], relook=True, then={"a": 1})`, "want at most 65536"},
		{`kind("x", ["a", "b"], w, letter="k")`, "one that nothing else on a map has"},
		{`kind("x", ["a", "b"], w, then={"c": 2})`, "want one of its states, a b"},
		{`kind("x", ["a  b", "b"], w)`, "one blank between words"},
		{`kind("x", ["a", "b"], w)((0, 0), "+x", state="c")`, "want one of a b"},
		{`kind("x", ["a", "b"], w)((0, 0), "up")`, "facing"},
		{`kind("x", ["a", "b"], 3)`, "a function of state, live and told"},
		{`world(kinds=[kind("x", ["a", "b"], w), kind("x", ["a", "b"], w)])`, "two of its kinds are called x"},
	} {
		dir := t.TempDir()
		for _, module := range []bool{false, true} {
			main, place := head+"def go():\n    return "+c.call+"\ngo()\n", "main.star:4:"
			if module {
				if err := os.WriteFile(filepath.Join(dir, "mine.star"), []byte(main), 0o644); err != nil {
					t.Fatal(err)
				}
				main, place = "load(\"./mine.star\", \"w\")\n", "mine.star:4:"
			}
			if err := os.WriteFile(filepath.Join(dir, "main.star"), []byte(main), 0o644); err != nil {
				t.Fatal(err)
			}
			var out bytes.Buffer
			s, err := New(Config{Out: &out, Err: &out, Dir: dir, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			err = s.ExecFile(t.Context(), filepath.Join(dir, "main.star"), nil)
			s.Close()
			want := c.want
			if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), place) {
				t.Errorf("%s\nsays %v\nwant %s at %s", c.call, err, want, place)
			}
		}
	}
}
