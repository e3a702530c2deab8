package invent

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// The searches that are cut up here: one that finds something, one that does not, one that goes on, one with a kind of one's own, one with free ports, one by lot.
const cutUp = `
BUF, NOT, AND = dict(kind="gate", op="buf"), dict(kind="gate", op="not", on=True), dict(kind="gate", op="and")

def wants(state, live, told):
    return "on" if live.back else "off"

BEACON = kind("beacon", ["off", "on"], wants, feeds={"on": "front"})
`

var cuts = []string{
	`search(task((0, 0), (1, 0), [4, 9], lambda n: 1), ((0, 0), (1, 1)), [NOT, AND, "wire"], fixed=lambda f: f.wire((0, 0)))`,
	`search(task((0, 0), (1, 0), [4, 9], lambda n: 2 * n), ((0, 0), (1, 1)), [NOT, "link"])`,
	`search(task((0, 0), (2, 0), [2, 3, 5]), ((0, 0), (2, 1)), [BUF, "wire"], most=3, front=True)`,
	`search(task((0, 0), (2, 0), [2, 3, 5], later=2), ((0, 0), (2, 1)), [BEACON, "wire"], fixed=lambda f: f.put(BEACON, (0, 1), "+y"))`,
	`search(task([(0, 0), (3, 0)], [(1, 0), (1, 1), (2, 0)], [2, 3, 5], later=2), ((0, 0), (3, 1)), [BUF, "wire"], most=3)`,
}

// cutScene is a scene in a folder.
func cutScene(t *testing.T) (*stage.Scene, string) {
	s := stage.New()
	s.Workers = 2
	dir := stage.InFolder(t, s)
	stage.MustSession(t, s, cutUp)
	return s, dir
}

func reportOf(t *testing.T, s *stage.Scene, call string) *builtins.Report {
	t.Helper()
	stage.MustSession(t, s, "r = "+call)
	return s.Names["r"].(*builtins.Report)
}

// TestSearchPortions: the portions of a search, put together, say what the whole says, byte for byte; what is not of one search, or not all of it,
// is refused.
func TestSearchPortions(t *testing.T) {
	s, dir := cutScene(t)
	var kept []string
	for _, call := range cuts {
		whole := reportOf(t, s, call).Text
		var paths []string
		for i := 3; i >= 1; i-- {
			s.Portion = builtins.Portion{Index: i, Count: 3}
			name := string(reportOf(t, s, call).Fields["path"].(starlark.String))
			paths = append(paths, filepath.Join(dir, name))
		}
		s.Portion = builtins.Portion{}
		data, _ := os.ReadFile(paths[0])
		if !IsSearch(data) {
			t.Error("a portion of a search is not known as one")
		}
		got, err := GatherSearch(paths)
		if err != nil || got != whole {
			t.Errorf("%s: portions together say\n%s\n%v\nand the whole\n%s", call, got, err, whole)
		}
		if _, err := GatherSearch(paths[:2]); err == nil || !regexp.MustCompile(`^missing: \d+ of \d+ units? of \d parts?(, and all that may come after them)?; portions that are not there: 1 of 3$`).MatchString(err.Error()) {
			t.Errorf("%s: a portion is missing, and: %v", call, err)
		}
		kept = append(kept, paths[0])
	}
	if _, err := GatherSearch(kept[:2]); err == nil || !strings.Contains(err.Error(), "it belongs to another search") {
		t.Errorf("two searches in one: %v", err)
	}
	data, _ := os.ReadFile(kept[0])
	os.WriteFile(kept[0], []byte(strings.Replace(string(data), `"run":`, `"run":1`, 1)), 0o644)
	if _, err := GatherSearch(kept[:1]); err == nil || !strings.Contains(err.Error(), "it was not written after the line before") {
		t.Errorf("a changed line: %v", err)
	}
}

// TestSearchStopped: what was found before a search was stopped is kept, and says that it was stopped; with a file the search goes on from there, and ends
// as if nothing had been.
func TestSearchStopped(t *testing.T) {
	cases := append([]string{}, cuts...)
	cases = append(cases, `search(task((0, 0), (2, 0), [2, 3, 5], later=2), ((0, 0), (2, 1)), [BUF, "wire"], tries=6)`)
	for _, call := range cases {
		s, dir := cutScene(t)
		whole := reportOf(t, s, call)
		call = strings.TrimSuffix(call, ")") + `, resume="quay.jsonl")`
		for stops := 0; ; stops++ {
			ctx, cancel := context.WithCancel(context.Background())
			units := 0
			s.Ctx, s.Kept = ctx, nil
			s.Progress = func(_ string, done, of int64) {
				if units++; units == 9<<(2*stops) || of <= generation && units == 3+2*stops {
					cancel()
				}
			}
			s.Printed.Reset()
			err := stage.Session(t, s, "r = "+call)
			cancel()
			if err == nil {
				if stops == 0 {
					t.Errorf("%s was never stopped", call)
				}
				break
			}
			kept, ok := s.Kept.(*builtins.Report)
			if !ok || !strings.Contains(kept.Text, "stopped") || kept.Fields["whole"] != starlark.False || !strings.Contains(s.Printed.String(), kept.Text) || !strings.Contains(builtins.Message(err), "search: stopped") {
				t.Fatalf("%s: stopped, and kept is %v; %v", call, s.Kept, builtins.Message(err))
			}
		}
		s.Ctx, s.Progress = nil, nil
		if got := s.Names["r"].(*builtins.Report); got.Text != whole.Text {
			t.Errorf("%s: gone on with it says\n%s\nand in one go\n%s", call, got.Text, whole.Text)
		}
		if again := reportOf(t, s, call); again.Text != whole.Text {
			t.Errorf("%s: all of it read from the file, it says\n%s", call, again.Text)
		}
		for _, bad := range []struct{ call, want string }{
			{strings.Replace(call, "2, 3, 5", "2, 3", 1), "belongs to another search"},
			{strings.Replace(call, "quay.jsonl", "../quay.jsonl", 1), "outside the working folder"},
			{strings.Replace(call, "quay.jsonl", "mine.txt", 1), "is there, and is no such file"},
		} {
			os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("mine"), 0o644)
			if bad.call == call {
				continue
			}
			if err := stage.Session(t, s, bad.call); err == nil || !strings.Contains(builtins.Message(err), bad.want) {
				t.Errorf("%s: %v, want %s", bad.call, err, bad.want)
			}
		}
		if mine, _ := os.ReadFile(filepath.Join(dir, "mine.txt")); string(mine) != "mine" {
			t.Error("a file of somebody else's was changed")
		}
	}
}

// TestSearchTries: tries come to the same with any number of workers, and to the least that there is where that is known; another seed draws others.
func TestSearchTries(t *testing.T) {
	s, _ := cutScene(t)
	for _, c := range []struct {
		call  string
		parts int
	}{
		{`search(task((0, 0), (1, 0), [4, 9], lambda n: 1), ((0, 0), (1, 1)), [NOT, AND, "wire"], fixed=lambda f: f.wire((0, 0)), tries=5%s)`, 3},
		{`search(task((0, 0), over=[0, 1, 2], fall="late"), ((0, 0), (3, 0)), ["link", "wire", "lamp"], tries=4%s)`, 2},
	} {
		plain := strings.Replace(c.call, "%s", "", 1)
		var texts []string
		for _, workers := range []int{1, 3} {
			s.Workers = workers
			r := reportOf(t, s, plain)
			texts = append(texts, r.Text)
			if n, _ := starlark.AsInt32(r.Fields["parts"]); n != c.parts {
				t.Errorf("%s: %d parts, want %d\n%v", plain, n, c.parts, r)
			}
			if r.Fields["whole"] != starlark.False || !strings.Contains(r.Text, "no word on whether there is anything smaller") {
				t.Errorf("%s does not say that it went through nothing:\n%v", plain, r)
			}
			standsAlone(t, r)
		}
		if texts[0] != texts[1] {
			t.Errorf("%s: with 1 and 3 workers it says\n%s", plain, strings.Join(texts, "\n"))
		}
		if other := reportOf(t, s, strings.Replace(c.call, "%s", ", seed=7", 1)); other.Fields["run"] == s.Names["r"].(*builtins.Report).Fields["parts"] || other.Text == texts[0] {
			t.Errorf("%s: seed 7 draws what seed 1 draws", plain)
		}
	}
}

// TestSearchFront: no machine of a front is bettered by another, the measures are those that compare and recovery find, and of all that was found none that is
// not of the front is bettered by none.
func TestSearchFront(t *testing.T) {
	s, _ := cutScene(t)
	stage.MustSession(t, s, `
r = search(task((0, 0), (3, 0), [2, 3, 5]), ((1, 0), (3, 0)), [BUF, "wire", dict(kind="delay", ticks=1), dict(kind="shuttle", slug="plug"), dict(kind="gate", op="or")], front=True, fixed=lambda f: f.wire((0, 0)))
print(r)
expect(len(r.front) > 1)
expect_equal(r.best.measures, r.front[0].measures)
for m in r.front:
    for o in r.front:
        expect(m == o or any([m.measures[k] < o.measures[k] for k in m.measures if type(m.measures[k]) == "int"] + [m.measures["latency"] != o.measures["latency"]]))
    expect_equal(recovery(m).pairs_ticks, m.measures["recovery"])
c = compare(r.front)
for i in range(len(r.front)):
    for k in ["parts", "recovery"]:
        same = [v for name, v in c.rows[i].items() if name.startswith(k)]
        expect(r.front[i].measures[k] in same, k)
print(c)
`)
	t.Log(s.Printed.String())
}

// TestSearchOwnKinds: a kind of one's own is in the file of a search as it was told, and no other is read from a file.
func TestSearchOwnKinds(t *testing.T) {
	s, _ := cutScene(t)
	told := s.Names["BEACON"].(*builtins.OwnKind).Spec
	p := new(searchPlan)
	q, err := p.take(engine.Part{Kind: engine.Told, Spec: told, State: 1})
	if err != nil || q.Own != 1 || p.give(q).Spec != told || q.Spec != nil {
		t.Fatalf("taken as %+v, %v", q, err)
	}
	if read, err := p.Own[0].spec(); err != nil || !read.Same(told) || read.Digest() != told.Digest() {
		t.Errorf("read again it is %v, %v", read, err)
	}
	for what, spoil := range map[string]func(k *planKind){
		"a table that is cut off": func(k *planKind) { k.Table = k.Table[1:] },
		"a table that is longer":  func(k *planKind) { k.Table += "0" },
		"a state that is none":    func(k *planKind) { k.Table = "2" + k.Table[1:] },
		"a name for no screen":    func(k *planKind) { k.Name = "\x1b[2J" },
		"a state for no screen":   func(k *planKind) { k.States = []string{"off", "\n"} },
		"one state":               func(k *planKind) { k.States = k.States[:1] },
	} {
		k := p.Own[0]
		if spoil(&k); (&searchPlan{Own: []planKind{k}}).tell() {
			t.Errorf("%s is read", what)
		}
	}
	for _, q := range []planPart{{Part: engine.Part{Kind: engine.Told}, Own: 2}, {Part: engine.Part{Kind: engine.Told}}, {Part: engine.Part{Kind: engine.Wire}, Own: 1}, {Part: engine.Part{Kind: engine.Told, State: 2}, Own: 1}} {
		if (&searchPlan{Own: p.Own, Options: []planPart{q}}).tell() {
			t.Errorf("%+v is read", q)
		}
	}
}

// TestSearchLetters: kinds that could not stand on one bench are not searched with.
func TestSearchLetters(t *testing.T) {
	s, _ := cutScene(t)
	err := stage.Session(t, s, `search(task((0, 0), (2, 0), [2, 3, 5]), ((0, 0), (2, 1)), [BEACON, kind("boat", ["off", "on"], wants, letter=BEACON.letter), "wire"])`)
	if err == nil || !strings.Contains(builtins.Message(err), "the kind boat") || !strings.Contains(builtins.Message(err), "has the letter a, and so has beacon") || !strings.Contains(builtins.Message(err), "letter= takes f h i p y z q here") {
		t.Errorf("%v", err)
	}
}
