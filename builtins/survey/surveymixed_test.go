package survey

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"

	"go.starlark.net/starlark"
)

// twin holds under every order that is the same in all cells: which input of a latch is its first is then the same for both latches.
const twin = `
def build(f):
    a, b = f.gate((0, 0), "+z", "latch", name="a"), f.gate((9, 0), "+z", "latch", name="b")
    f.wire((0, -1)); f.wire((9, -1))
    return struct(ins=[f.wire((1, 0)), f.wire((10, 0))], a=a, b=b, seen=probe(f.part((1, 0))))
def send(rig, n):
    for w in rig.ins:
        fire(w, n)
def read(rig):
    return rig.seen.width if rig.a.state == rig.b.state else 0
d = design("twin", build, send, read, [2, 3])
`

// drawnByHand are the cases that are drawn, as a script writes them.
func drawnByHand(n int, seeds ...uint64) string {
	p := surveyPlan{Seed: 1, Mixed: n, Seeds: seeds}
	p.layMixed()
	var cases []string
	for _, c := range p.Layouts[0] {
		cases = append(cases, fmt.Sprintf("(\"mixed %d\", dict(at=(%d, %d, %d), x=%q, y=%q, mirror=%v))", c.Seed, c.At.X, c.At.Y, c.At.Z, c.X, c.Y, map[bool]string{true: "True", false: "False"}[c.Mirror]))
	}
	return "drawn = [" + strings.Join(cases, ",\n") + "]\n" + `
def by_hand(sendings, **under):
    right = 0
    for order, lies in drawn:
        fresh(order=order, **under)
        rig = build(frame(**lies))
        ok = True
        for n in sendings:
            send(rig, n)
            run()
            ok = ok and read(rig) == n
        right += 1 if ok else 0
    return right
log(False)
`
}

// TestSurveyMixed: a row under mixed orders counts what plain runs find at the numbers, places and orientations drawn; a design that holds under all orders
// that are the same everywhere is not said to hold where they are not; and the counterexample runs alone.
func TestSurveyMixed(t *testing.T) {
	_, r := surveyed(t, twin+drawnByHand(40)+`
one = survey(d)
expect(one.everywhere and one.exhaustive)
s = survey(d, mixed=40)
expect(not s.holds and not s.everywhere and not s.exhaustive)
expect_equal(len(s.table.rows), 48)
for row in [dict(zip(s.table.head, r)) for r in s.table.rows]:
    bound = row["at most % do not hold, one-sided"]
    if row["order"] == "one for all":
        expect_equal((row["holds"], row["cases"], bound), (48 * 720, 48 * 720, None))
        continue
    expect_equal(row["cases"], 40)
    if row["travel"] == 2 and row["fall"] == "early":
        falls("early")
        expect_equal(row["holds"], by_hand([2, 2, 3, 3, 2], news=row["news"], reads=row["reads"], travel=2))
    expect(8 < row["holds"] and row["holds"] < 32)
    expect(bound != None)
expect_equal(s.runs - one.runs, s.cases - one.cases)
print(s)`)
	wantText(t, r, "under one of 720 neighbour orders, the same in all cells;")
	wantText(t, r, `N of "mixed N" from 0 to 999999, a place up to 1000 cells off along each axis, and one of 48 orientations`)
	wantText(t, r, "by lot: 40 cases for each row under mixed orders, the same for each, and none follows from another; drawn with seed 1; the last column is")
	wantText(t, r, "not tried: the numbers, places and orientations under mixed orders that were not drawn")
	wantText(t, r, `smallest counterexample: 2 is sent and 0 is read, under order="mixed `)
	wantText(t, r, "of the cases drawn, the nearest that gets past that sending: order is \"")
	script, _ := starlark.AsString(r.Fields["script"])
	if !strings.Contains(script, "at=(") || !strings.Contains(script, `order="mixed `) || strings.Contains(r.Text, "no script reproduces it") {
		t.Errorf("the script of the counterexample:\n%s", script)
	}
}

// TestSurveyMixedOnly: in a world whose orders are mixed, a survey limited to it runs nothing else.
func TestSurveyMixedOnly(t *testing.T) {
	_, r := surveyed(t, twin+drawnByHand(100, 7)+`
rules(order="mixed 7", travel=1)
s = survey(d, rules=rules())
expect_equal([(dict(zip(s.table.head, r))["order"], dict(zip(s.table.head, r))["cases"]) for r in s.table.rows], [("mixed", 100)] * 2)
expect_equal(s.cases, s.runs)
expect_equal(dict(zip(s.table.head, s.table.rows[0]))["holds"], by_hand([2, 2, 3, 3, 2], travel=1))
`)
	wantText(t, r, `1 such order: "mixed 7", a place`)
	wantText(t, r, "neighbour orders that are the same in all cells; news lifo")
	for _, no := range []string{"covers", "one of 720", "the neighbour orders of the bench"} {
		if strings.Contains(r.Text, no) {
			t.Errorf("it says %q:\n%s", no, r.Text)
		}
	}
	_, r = surveyed(t, twin+`
s = survey(d, mixed=30, rules={"order": "mixed", "news": "fifo"})
expect_equal([dict(zip(s.table.head, r))["order"] for r in s.table.rows], ["mixed"] * 12)
many = survey(d, mixed=30, rules={"order": ["mixed %d" % n for n in range(20)], "news": "fifo", "reads": "turn"})
expect('20 such orders: "mixed 0" "mixed 1" "mixed 2" "mixed 3" and 16 more, a place' in str(many))`)
	wantText(t, r, `N of "mixed N" from 0 to 999999`)
	_, r = surveyed(t, countLine+`one = survey(good)
rules(order="mixed 3")
s = survey(good)
expect(one.everywhere and s.holds and not s.everywhere)
expect_equal((s.cases, s.runs), (one.cases, one.runs))
both = survey(good, mixed=5, runs=300, rules={"order": ["mixed 3", "+x -x +y -y +z -z"], "travel": 2, "news": "fifo"})
expect_equal(len(both.table.rows), 8)
expect(both.holds and not both.everywhere)`)
	wantText(t, r, `not tried: the neighbour orders of the bench, "mixed 3"`)
}

// TestSurveyMixedErrors: what the parameter takes.
func TestSurveyMixedErrors(t *testing.T) {
	for args, want := range map[string]string{
		`mixed=-1`:                              "for parameter mixed: got -1",
		`mixed=100001`:                          "for parameter mixed: got 100001, want at most 100000",
		`mixed=0, rules={"order": "mixed 3"}`:   "for parameter mixed: got 0, want at least 1, as rules asks for mixed orders",
		`mixed=0, rules={"order": "mixed"}`:     "for parameter mixed: got 0, want at least 1, as rules asks for mixed orders",
		`rules={"order": ["mixed 3", "mixes"]}`: `got "mixes", want all six directions`,
	} {
		err := stage.Session(t, stage.New(), twin+"survey(d, "+args+")")
		if err == nil || !strings.Contains(builtins.Message(err), want) {
			t.Errorf("%s: %v, want %s", args, err, want)
		}
	}
}

// TestPortionsMixed: portions of a survey with rows under mixed orders give the same as one run, also where other cases are drawn by lot, too.
func TestPortionsMixed(t *testing.T) {
	for _, more := range []string{"", ", runs=100"} {
		script := twin + `s = survey(d, mixed=7, travel=[2], rules={"reads": "turn"}` + more + `)`
		_, whole := surveyed(t, script)
		dir := t.TempDir()
		root, err := os.OpenRoot(dir)
		if err != nil {
			t.Fatal(err)
		}
		defer root.Close()
		for i := range 3 {
			s := stage.New()
			s.Workers, s.Dir, s.Portion = 2, root, builtins.Portion{Index: i + 1, Count: 3}
			s.Source = func(string) (string, bool) { return script, true }
			stage.MustSession(t, s, script)
		}
		files, _ := filepath.Glob(dir + "/*.jsonl")
		text, _, err := GatherSurvey(t.Context(), files, stage.TryAlone)
		if err != nil || text != whole.Text {
			t.Errorf("gathered: %v\n%s\nin one run:\n%s", err, text, whole.Text)
		}
	}
}

// TestSurveyMixedRunsAway: where all the first cases of a row under mixed orders are stopped, the rest is left out, and they bound nothing.
func TestSurveyMixedRunsAway(t *testing.T) {
	_, r := surveyed(t, `
def build(f):
    k = f.key((0, 0), hold=1)
    f.gate((1, 0), "+x", "nor", ticks=1); f.wire((2, 0)); f.wire((2, 1)); f.wire((1, 1))
    return struct(k=k, out=probe(f.part((2, 0))))
def send(rig, n):
    press(rig.k)
d = design("ring", build, send, lambda rig: 1, [1])
s = survey(d, mixed=9, turns=500, rules={"order": "mixed 4", "news": "fifo", "reads": "turn", "fall": "early", "travel": 2})`)
	wantText(t, r, "only 3 cases were tried, since all of these were stopped, and they bound nothing")
	wantText(t, r, "6 cases in 1 row, where all that were tried were stopped")
	if strings.Contains(r.Text, "the last column") {
		t.Error(r.Text)
	}
}
