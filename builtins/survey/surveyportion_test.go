package survey

import (
	"math"
	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestPortions: three portions, one of them stopped halfway and taken up again, another cut off in the middle of a line, give the same as one run.
func TestPortions(t *testing.T) {
	script := brokenNews + "s = survey(d, over=[1], travel=[1, 2, 3])\n"
	_, whole := surveyed(t, script)
	wantScript, _ := whole.Attr("script")
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	part := func(i int, stopAfter int64) error {
		s := stage.New()
		s.Workers, s.Dir, s.Portion = 2, root, builtins.Portion{Index: i, Count: 3}
		s.Source = func(string) (string, bool) { return script, true }
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		s.Ctx = ctx
		s.Progress = func(_ string, done, total int64) {
			if stopAfter > 0 && done == stopAfter {
				cancel()
			}
		}
		return stage.Session(t, s, script)
	}
	if err := part(1, 0); err != nil {
		t.Fatal(err)
	}
	if err := part(2, 5); err == nil {
		t.Fatal("it was not stopped")
	}
	files, _ := filepath.Glob(dir + "/*.jsonl")
	if len(files) != 2 {
		t.Fatal(files)
	}
	if _, _, err := GatherSurvey(t.Context(), files, stage.TryAlone); err == nil || !strings.Contains(err.Error(), "are missing") {
		t.Errorf("merging what is not finished: %v", err)
	}
	if err := part(2, 0); err != nil {
		t.Fatal(err)
	}
	if err := part(3, 0); err != nil {
		t.Fatal(err)
	}
	files, _ = filepath.Glob(dir + "/*.jsonl")
	full, err := os.ReadFile(files[2])
	if err != nil {
		t.Fatal(err)
	}
	for _, cut := range []int{len(full) - 1, len(full) * 2 / 3, bytes.IndexByte(full, '\n') + 1, bytes.IndexByte(full, '\n') / 2, 0} {
		os.WriteFile(files[2], full[:cut], 0o644)
		if err := part(3, 0); err != nil {
			t.Fatal(err)
		}
		if again, _ := os.ReadFile(files[2]); !bytes.Equal(again, full) {
			t.Errorf("cut at byte %d of %d and taken up again, the portion is another", cut, len(full))
		}
	}
	got, gotScript, err := GatherSurvey(t.Context(), files, stage.TryAlone)
	if err != nil || got != whole.Text || gotScript != builtins.Text(wantScript) {
		t.Errorf("gathered (%v):\n%s\nin one run:\n%s", err, got, whole.Text)
	}
	// Another order of the files, and one given twice, change nothing.
	slices.Reverse(files)
	if again, _, err := GatherSurvey(t.Context(), append(files, files[0]), stage.TryAlone); err != nil || again != got {
		t.Error(err)
	}
}

// portionsOf makes all portions of the survey that a script ends with, in a folder, and gives their files.
func portionsOf(t testing.TB, script string, count int) ([]string, error) {
	t.Helper()
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	for i := range count {
		s := stage.New()
		s.Workers, s.Dir, s.Portion = 1, root, builtins.Portion{Index: i + 1, Count: count}
		s.Source = func(string) (string, bool) { return script, true }
		if err := stage.Session(t, s, script); err != nil {
			return nil, err
		}
	}
	files, _ := filepath.Glob(dir + "/*.jsonl")
	return files, nil
}

// portionLine is a design whose functions reach a helper, a table, a default and a closure.
const portionLine = `
K = {"op": ["buf"]}
def op(): return K["op"][0]
def wrong(): return "not"
def held(add):
    return lambda rig, n: fire(rig.into, n + add)
def build(f, extra=(1, 0)):
    f.wire((0, 0)); f.gate(extra, "+x", op(), pads=[(-1, 0, 0)]); o = f.wire((2, 0))
    return struct(into=f.part((0, 0)), o=probe(o))
rig = build(frame())
fresh()
send = held(0)
def read(rig): return rig.o.width
d = design("line", build, send, read, [2, 3])
s = survey(d, travel=[2])
`

// TestPortionsOfTwoVersions: portions of two versions of a script are not put together, wherever in what the design reaches they differ; those of
// scripts that differ elsewhere are.
func TestPortionsOfTwoVersions(t *testing.T) {
	one, err := portionsOf(t, portionLine, 2)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := GatherSurvey(t.Context(), one, stage.TryAlone); err != nil {
		t.Fatal(err)
	}
	for old, now := range map[string]string{
		`["buf"]`: `["not"]`, `K["op"][0]`: `K["op"][-1]`, "extra=(1, 0)": "extra=(1, 0, 0)", "held(0)": "held(1)", "n + add": "n - add", "rig.o.width": "rig.o.width or 0",
		"f.wire((0, 0));": "f.wire((0, 0)); f.lamp((0, 1));", `"+x", op()`: `"+x", wrong()`, "[2, 3])": "[2, 4])", "\"line\"": "\"lane\"", "travel=[2]": "travel=[3]", "fresh()": "fresh(reach=9)",
	} {
		other, err := portionsOf(t, strings.Replace(portionLine, old, now, 1), 2)
		if err != nil {
			t.Fatal(err)
		}
		_, _, err = GatherSurvey(t.Context(), []string{one[0], other[1]}, stage.TryAlone)
		if err == nil || !strings.Contains(err.Error(), other[1]+":1: it belongs to another survey than "+one[0]) {
			t.Errorf("%s instead of %s: %v", now, old, err)
		}
	}
	elsewhere, err := portionsOf(t, "# elsewhere\nunused = 3\n"+strings.Replace(portionLine, "rig = build(frame())", "rig = None", 1), 2)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := GatherSurvey(t.Context(), []string{one[0], elsewhere[1]}, stage.TryAlone); err != nil {
		t.Errorf("they differ only in what the design does not reach: %v", err)
	}
}

// TestNoPortions: a survey that reaches what nobody can write down, or what other runs can answer otherwise, is not cut up.
func TestNoPortions(t *testing.T) {
	for script, why := range map[string]string{
		strings.Replace(portionLine, "def read(rig): return", "r = rules()\ndef read(rig): return 0 if r.travel == 7 else", 1):     "r: it is a rules, which no script can write down",
		strings.Replace(strings.Replace(portionLine, "n + add", "len(n) + add", 1), "[2, 3])", `["a", "é"[:1]])`, 1):               "no script can write down",
		strings.Replace(portionLine, "def read(rig): return", "parts = [wire((9, 9))]\ndef read(rig): return parts if 0 else ", 1): "which no script can write down",
	} {
		_, err := portionsOf(t, script, 2)
		if err == nil || !strings.Contains(builtins.Message(err), "cannot be cut into portions") || !strings.Contains(builtins.Message(err), why) {
			t.Errorf("want %s, got %v\n%s", why, err, script)
		}
	}
}

// TestPortionMutations changes files of portions at random, and gathers them: it tells the file and the line, or the text is the one that it
// is without the change. Half of the changes are forged: their sums are right.
func TestPortionMutations(t *testing.T) {
	const seed = 41
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 2))
	files, err := portionsOf(t, brokenNews+"s = survey(d, over=[1], travel=[2])\n", 3)
	if err != nil {
		t.Fatal(err)
	}
	want, _, err := GatherSurvey(t.Context(), files, nil)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(files[1])
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(string(whole), "\n")
	if err := os.WriteFile(files[1], []byte(strings.Join(lines[:len(lines)-2], "")), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, _, err := GatherSurvey(t.Context(), files, nil); err == nil || !strings.HasPrefix(err.Error(), fmt.Sprintf("%s:%d: the file ends without case ", files[1], len(lines)-2)) {
		t.Errorf("with the last line of a portion gone: %v", err)
	}
	if err := os.WriteFile(files[1], whole, 0o600); err != nil {
		t.Fatal(err)
	}
	data := make([][]byte, len(files))
	for i, f := range files {
		data[i], _ = os.ReadFile(f)
	}
	refused, same := 0, 0
	for round := range 1000 {
		k := rng.IntN(len(files))
		what, changed := mutated(rng, data, k)
		if bytes.Equal(changed, data[k]) {
			continue
		}
		os.WriteFile(files[k], changed, 0o644)
		got, _, err := GatherSurvey(t.Context(), files, nil)
		switch {
		case err == nil && got != want:
			t.Errorf("seed %d, round %d, %s: another text:\n%s", seed, round, what, got)
		case err == nil:
			same++
		default:
			refused++
			if !strings.Contains(err.Error(), ".jsonl:") && !strings.Contains(err.Error(), "portions that are not there") {
				t.Errorf("seed %d, round %d, %s: no place: %v", seed, round, what, err)
			}
		}
		os.WriteFile(files[k], data[k], 0o644)
	}
	if refused < 600 {
		t.Errorf("%d refused, %d the same: too few to show anything", refused, same)
	}
}

// mutated changes one of the files, and says how.
func mutated(rng *rand.Rand, data [][]byte, k int) (what string, changed []byte) {
	whole := slices.Clone(data[k])
	lines := bytes.SplitAfter(whole, []byte("\n"))
	lines = lines[:len(lines)-1]
	i, j := rng.IntN(len(lines)), rng.IntN(len(lines))
	at := rng.IntN(len(whole))
	switch rng.IntN(12) {
	case 0:
		whole[at] ^= 1 << rng.IntN(8)
		return fmt.Sprintf("a bit of byte %d flipped", at), whole
	case 1:
		return fmt.Sprintf("cut at byte %d", at), whole[:at]
	case 2:
		return fmt.Sprintf("line %d lost", i+1), slices.Concat(slices.Concat(lines[:i]...), slices.Concat(lines[i+1:]...))
	case 3:
		return fmt.Sprintf("line %d repeated after line %d", i+1, j+1), slices.Concat(slices.Concat(lines[:j+1]...), lines[i], slices.Concat(lines[j+1:]...))
	case 4:
		lines[i], lines[j] = lines[j], lines[i]
		return fmt.Sprintf("lines %d and %d changed places", i+1, j+1), slices.Concat(lines...)
	case 5:
		return "two portions in one file", slices.Concat(whole, data[(k+1)%len(data)])
	case 6:
		return fmt.Sprintf("byte %d put in", at), slices.Insert(whole, at, byte(rng.IntN(256)))
	}
	// Forged: read, changed, and written with the right sums.
	f := new(portionFile)
	if err := f.read("", whole); err != nil {
		panic(err)
	}
	p, sh := f.plan, f.portion
	odd := []int{math.MinInt / 8, -2, -1, 0, 1, 7, math.MaxInt / 2}[rng.IntN(7)]
	r := &f.results[rng.IntN(len(f.results))]
	switch rng.IntN(9) {
	case 0:
		what, r.Unit = "another unit", odd
	case 1:
		what, r.Fail = "fails at", []int{-2, math.MinInt / 8, math.MaxInt / 2, len(p.Numbers)}[rng.IntN(4)]
	case 2:
		what, r.Runs = "transmissions", []int{-1, math.MinInt / 8, math.MaxInt / 2}[rng.IntN(3)]
	case 3:
		what, sh.Index = "another portion", odd
	case 4:
		what, sh.Count = "another number of portions", odd
	case 5:
		what, p.Seed = "another seed", int64(odd)
	case 6:
		what, p.Code = "another code", "x"
	case 7:
		what, p.Numbers = "no numbers", nil
	case 8:
		what, p.Check = "another check", fmt.Sprint(odd)
	}
	if what != "another check" {
		p.Check = p.Sum()
	}
	var b bytes.Buffer
	g := new(portionFile)
	g.begin(&b, p, sh)
	for _, r := range f.results {
		g.add(&b, r)
	}
	return fmt.Sprintf("%s (%d), with the right sums", what, odd), b.Bytes()
}

// TestForgedPlans: a plan that no survey makes, with the right sums, alone in a file, is an error and no panic.
func TestForgedPlans(t *testing.T) {
	files, err := portionsOf(t, brokenNews+"s = survey(d, over=[1], travel=[2])\n", 1)
	if err != nil {
		t.Fatal(err)
	}
	data, _ := os.ReadFile(files[0])
	var f portionFile
	if err := f.read("", data); err != nil {
		t.Fatal(err)
	}
	plan, _ := json.Marshal(f.plan)
	rng := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		var tree map[string]any
		json.Unmarshal(plan, &tree)
		keys := make([]string, 0, len(tree))
		for k := range tree {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		key := keys[rng.IntN(len(keys))]
		switch v := tree[key].(type) {
		case []any:
			tree[key] = v[:rng.IntN(len(v)+1)]
		case float64:
			tree[key] = []float64{-1, 0, 1, 5, math.MaxInt / 2}[rng.IntN(5)]
		case map[string]any:
			delete(tree, key)
		default:
			tree[key] = nil
		}
		b, _ := json.Marshal(tree)
		p := new(surveyPlan)
		if json.Unmarshal(b, p) != nil {
			continue
		}
		p.Check = p.Sum()
		var out bytes.Buffer
		g := new(portionFile)
		g.begin(&out, p, f.portion)
		for _, r := range f.results[:rng.IntN(len(f.results)+1)] {
			g.add(&out, r)
		}
		os.WriteFile(files[0], out.Bytes(), 0o644)
		GatherSurvey(t.Context(), files, stage.TryAlone) // a panic fails the test
	}
}
