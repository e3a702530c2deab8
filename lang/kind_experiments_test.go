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

// TestOwnKindOnDataSheets: a page about a design with parts that are not built in says what they are, and how they are told, in each of its forms.
func TestOwnKindOnDataSheets(t *testing.T) {
	dir := t.TempDir()
	var out bytes.Buffer
	s, err := New(Config{Out: &out, Err: &out, Dir: dir, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const script = `
load("lib/kinds.star", "divider")
near = True
def relay(state, live, told):
    """Out while <anything> is live."""
    return ("out" if live.back or live.sides or live.cords or live.forced else "home") if near else None
slider = kind("slider", ["home", "out"], relay, then={"out": 9}, letter="i")
def build(f):
    w = f.wire((0, 0), (2, 0))
    s = f.put(slider, (3, 0), "+x")
    f.put(divider, (9, 9), "+x")
    return struct(input=w.first, out=probe(s))
def send(rig, n): fire(rig.input, n)
def read(rig): return rig.out.width
slid = design("slid", build, send, read, [2, 3])
for ending in ["md", "html", "json"]:
    datasheet(slid, "page." + ending)
near = False
datasheet(slid, "later.md")
`
	if err := s.Exec(t.Context(), "x.star", script); err != nil {
		t.Fatalf("%v\n%s", err, &out)
	}
	for file, want := range map[string][]string{
		"page.md": {"## Parts that are not built in", "### slider", "### divider", "states   home, out; the first", "letter   i", "reads    back, sides, cords", "told by  back, front, sides, cords, a nudge", "reacts   in the next step",
			"then     9 ticks after it became out", "digest   ", `slider = kind("slider", ["home", "out"], relay, then={"out": 9}, letter="i")`, `    """Out while <anything> is live."""`, "near = True", "divider = kind("},
		"page.html": {"<h2>Parts that are not built in</h2>", "<h3>slider</h3>", "Out while &lt;anything&gt; is live", "slider = kind(&#34;slider&#34;", "digest   "},
		"page.json": {`"kinds": [`, `"name": "slider"`, `"digest": "`, `"told": "near = True`},
		"later.md":  {"### slider", "The script that tells it cannot be given: the kind slider: what its function reaches by name has changed since it was told.", "then     9 ticks after"},
	} {
		page, err := os.ReadFile(filepath.Join(dir, file))
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range want {
			if !strings.Contains(string(page), w) {
				t.Errorf("no %q in %s\n%s", w, file, page)
			}
		}
	}
}

// TestOwnKindErrorPlaces: what is wrong with a kind is said at its place, in a file as in a module.
func TestOwnKindErrorPlaces(t *testing.T) {
	const head = "def w(state, live, told): return \"b\" if live.back else \"a\"\ndef bad(state, live, told): return live.side\nseen = []; impure = lambda s, l, t: seen.append(t)\n"
	for _, c := range []struct{ call, at, want string }{
		{`kind("x", ["a", "c"], w)`, "5:16", `wants("a", live(back = True, cords = 0, forced = False, sides = 0), "back") gives "b", want one of its states, a c, or None`},
		{`kind("x", ["a", "b"], bad)`, "2:40", `wants("a", live(back = False, cords = 0, forced = False, sides = 0), "back") fails: "live" struct has no .side attribute (did you mean .sides?), want one of back cords forced sides`},
		{`kind("x", ["a", "b"], w, pads=["sides"])`, "1:45", `"live" struct has no .back attribute, want "back" in pads if it is to read that`},
		{`kind("x", ["a", "b"], w, facing=False, pads=["back"])`, "5:16", `for parameter pads: got "back", want a list of around`},
		{`kind("x", ["a", "b"], w, hears=["far_back"])`, "5:16", `for parameter hears: got "far_back", want a list of back front sides`},
		{`kind("x", ["a", "b"], w, pads=["bak"])`, "5:16", "did you mean back?"},
		{`kind("x", ["a", "b", "c", "d", "e", "f", "g", "h"], w, pads=["back", "front", "sides", "far_back", "far_front"], relook=True, then={"a": 1})`, "5:16", "it has 71680 combinations of states, tellers and live cells, want at most 65536"},
		{`kind("x", ["a", "b"], impure)`, "3:48", `wants("a", live(back = False, cords = 0, forced = False, sides = 0), "back") fails: append: cannot append to frozen list`},
		{`kind("x", ["a", "b"], lambda s, l, t: print(s))`, "5:55", "print: it must be a pure function"},
		{`kind("x", ["a", "b"], lambda s, l, t: now())`, "5:53", "there is no bench here"},
		{`kind("x", ["a", "b"], lambda s, l: None)`, "5:47", "accepts 2 positional arguments"},
		{`kind("x", ["a", "b"], lambda s, l, t: 1 // 0)`, "5:52", `"back") fails: floored division by zero`},
		{`kind("x", ["a", "b"], w, letter="k")`, "5:16", "one that nothing else on a map has"},
		{`kind("x", ["a", "b"], w, then={"c": 2})`, "5:16", "want one of its states, a b"},
		{`kind("x", ["a", "b"], w, feeds={"b": "back"})`, "5:16", `want "around", "front" or ("front", level)`},
		{`kind("x", ["a", "b"], w, conducts=["c"])`, "5:16", `for parameter conducts: got "c", want one of its states, a b`},
		{`kind("x", ["a  b", "b"], w)`, "5:16", "one blank between words"},
		{`kind("lamp", ["a", "b"], w)`, "5:16", `"lamp" is a built-in kind`},
		{`kind("x", ["a", "b"], w)((0, 0), "+x", state="c")`, "5:36", "want one of a b"},
		{`kind("x", ["a", "b"], w)((0, 0), "up")`, "5:36", "facing"},
		{`kind("x", ["a", "b"], 3)`, "5:16", "a function of state, live and told"},
		{`world(kinds=[kind("x", ["a", "b"], w), kind("x", ["b", "a"], w)])`, "5:17", "two of its kinds are called x; give each its own name"},
		{`[kind("x", [a, b], lambda s, l, t: None)((3, 3), "+x") for a, b in [("a", "b"), ("b", "a")]]`, "5:52", "is not that of x (3, 3) here (told at"},
	} {
		dir := t.TempDir()
		for _, module := range []bool{false, true} {
			main, place := head+"def go():\n    return "+c.call+"\ngo()\n", "main.star:"+c.at+": "
			if module {
				if err := os.WriteFile(filepath.Join(dir, "mine.star"), []byte(main), 0o644); err != nil {
					t.Fatal(err)
				}
				main, place = "load(\"./mine.star\", \"w\")\n", "mine.star:"+c.at+": "
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

// TestOwnKindSeen: parts of a kind of one's own are seen by probes, scopes, plots and every export, by their states and their words.
func TestOwnKindSeen(t *testing.T) {
	dir := t.TempDir()
	var out bytes.Buffer
	s, err := New(Config{Out: &out, Err: &out, Dir: dir, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const script = `
def turns(state, live, told):
    return {"one": "two", "two": "three", "three": "one"}[state] if live.back else None
def falls(state, live, told):
    return ("sees" if live.back else None) if state == "waits" else None if live.back else "waits"
reel = kind("reel", ["one", "two", "three"], turns, active=["two"], letter="q")
sensor = kind("sensor", ["waits", "sees"], falls, says={"sees": None, "waits": "over"}, letter="y")
k = key((0, 0), hold=2, name="quay")
r = reel((1, 0), "+x", name="reel")
s = sensor((-1, 0), "-x", name="watch")
p = probe(r)
log(False)
for _ in range(4):
    press(k); run()
expect_equal(([e.what for e in events(r)], [str(e) for e in p.edges], len(p.pulses)), (["two", "three", "one", "two"], ["1.1.0 reel two", "4.1.0 reel three", "10.1.0 reel two"], 2))
print(scope(r, s))
print(plot(table([(e.at.tick, len(e.what)) for e in events(r)], head=["tick", "letters"]), x="tick", y="letters"))
for ending in ["vcd", "csv", "json", "svg", "html"]:
    export("seen." + ending)
export("map.svg", what="map")
`
	if err := s.Exec(t.Context(), "x.star", script); err != nil {
		t.Fatalf("%v\n%s", err, &out)
	}
	if !strings.Contains(out.String(), "watch ⣀") || !strings.Contains(out.String(), "3t") || !strings.Contains(out.String(), "letters") {
		t.Error(out.String())
	}
	for file, want := range map[string][]string{"seen.vcd": {"states of reel: 0 one, 1 two, 2 three", "b10 "}, "seen.csv": {"reel,reel,1,0,0,three,", "sensor,watch,-1,0,0,over,"}, "seen.json": {`"kind":"reel","name":"reel","cell":[1,0,0],"what":"three"`},
		"seen.svg": {"reel", "watch"}, "seen.html": {"reel", "watch"}, "map.svg": {"reel", "sensor"}} {
		text, err := os.ReadFile(filepath.Join(dir, file))
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range want {
			if !strings.Contains(string(text), w) {
				t.Errorf("no %q in %s", w, file)
			}
		}
	}
}
