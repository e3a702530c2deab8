package survey

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
)

// cases is how many cases there are in a row of a survey that is not limited.
const cases = 48 * 720

// byHand tries a design in every orientation under some orders, as a case of its one number does: three times.
const byHand = `
def by_hand(d, orders, **under):
    right = 0
    for order in orders:
        for x in ["+x", "-x", "+y", "-y", "+z", "-z"]:
            for y in ["+x", "-x", "+y", "-y", "+z", "-z"]:
                for mirror in [False, True]:
                    if x[1] == y[1]:
                        continue
                    fresh(order=order, **under)
                    rig = build(frame(x=x, y=y, mirror=mirror))
                    ok = True
                    for _ in range(3):
                        send(rig, 1)
                        run()
                        ok = ok and read(rig) == 1
                    right += 1 if ok else 0
    return right
`

// TestSurveyWorld: limited to some orders, a survey counts what plain runs find in all orientations under these, and runs nothing else.
func TestSurveyWorld(t *testing.T) {
	const a, b = "-z +y -x +z +x -y", "+y +x -y -x -z +z"
	for name, design := range map[string]string{"order": brokenOrder, "news": brokenNews} {
		for _, orders := range []string{fmt.Sprintf("[%q]", a), fmt.Sprintf("[%q, %q]", a, b)} {
			_, r := surveyed(t, design+byHand+fmt.Sprintf(`log(False)
orders = %s
s = survey(d, over=[1], rules={"order": orders, "news": "lifo", "reads": "turn", "fall": ["early", "late"], "travel": 2})
row = s.table.rows[0]
expect_equal(len(s.table.rows), 2)
expect_equal(dict(zip(s.table.head, row))["holds"], by_hand(d, orders, news="lifo", reads="turn", travel=2))
expect_equal(dict(zip(s.table.head, row))["cases"], 48 * len(orders))
expect(not s.everywhere)
`, orders))
			n := strings.Count(orders, "+x")
			wantText(t, r, fmt.Sprintf("not tried: travel 1, 3; %d other neighbour orders; news fifo; reads step", 720-n))
			if at := strings.Index(r.Text, "counterexample"); at >= 0 && !strings.Contains(r.Text[at:], a) && !strings.Contains(r.Text[at:], b) {
				t.Errorf("%s: it fails under an order that was not asked for:\n%s", name, r.Text)
			}
		}
	}
}

// TestSurveyOwnWorld: rules() limits a survey to the world of the bench; every rule in a list is the survey as ever.
func TestSurveyOwnWorld(t *testing.T) {
	_, r := surveyed(t, countLine+`rules(order="-z +y -x +z +x -y", travel=1)
s = survey(good, rules=rules())
expect(s.holds and not s.everywhere)
expect_equal(len(s.table.rows), 2)`)
	wantText(t, r, `under the neighbour order "-z +y -x +z +x -y", the same in all cells; it holds`)
	wantText(t, r, "it holds in all that was tried; not tried: travel 2, 3; 719 other neighbour orders; news lifo; reads step")
	surveyed(t, countLine+`s = survey(good, rules={"news": ["fifo", "lifo"], "travel": [1, 2, 3]})
expect(s.everywhere)
expect_equal(str(s), str(survey(good)))`)
}

// TestSurveyWorldErrors: what cannot be limited, and how it is said.
func TestSurveyWorldErrors(t *testing.T) {
	for rules, want := range map[string]string{
		`{"ordr": 1}`:        `"ordr" is nothing a survey goes through, want one of order news reads fall travel; did you mean order?`,
		`{"travel": 0}`:      "travel: got 0, want a number from 1 to",
		`{"news": "filo"}`:   `news: got "filo", want one of fifo lifo`,
		`{"news": []}`:       "no values of news, want at least one",
		`7`:                  "for parameter rules: got 7, want a dict or rules",
		`{1: 2}`:             "want names of rules",
		`{"order": "+x -x"}`: "want all six directions",
	} {
		s := stage.New()
		err := stage.Session(t, s, countLine+"survey(good, rules="+rules+")")
		if err == nil || !strings.Contains(builtins.Message(err), want) {
			t.Errorf("%s: %v, want %s", rules, err, want)
		}
	}
}

// TestPortionsOfAWorld: portions of a limited survey give the same as one run.
func TestPortionsOfAWorld(t *testing.T) {
	script := brokenOrder + `s = survey(d, over=[1], rules={"order": ["-z +y -x +z +x -y", "+y +x -y -x -z +z"], "travel": 2})`
	_, whole := surveyed(t, script)
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	for i := range 2 {
		s := stage.New()
		s.Workers, s.Dir, s.Portion = 2, root, builtins.Portion{Index: i + 1, Count: 2}
		s.Source = func(string) (string, bool) { return script, true }
		stage.MustSession(t, s, script)
	}
	files, _ := filepath.Glob(dir + "/*.jsonl")
	text, _, err := GatherSurvey(t.Context(), files, stage.TryAlone)
	if err != nil || text != whole.Text {
		t.Errorf("gathered: %v\n%s\nin one run:\n%s", err, text, whole.Text)
	}
}
