package survey

import (
	"fmt"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
	"pulsewright/builtins/trial"
)

// countLine is a line that reads right, with a delay of 400 ticks if slow is True. asking: build asks for the neighbour order.
const countLine = `
def make(slow, asking):
    def build(f):
        if asking:
            rules().order
        f.wire((0, 0))
        if slow:
            f.delay((1, 0), "+x", ticks=400, mode="transport")
        else:
            f.gate((1, 0), "+x", "buf", pads=[(-1, 0, 0)])
        f.wire((2, 0))
        return struct(into=f.part((0, 0)), out=probe(f.part((2, 0))))
    return build
def send(rig, n):
    fire(rig.into, n)
def read(rig):
    return rig.out.width
good = design("good", make(False, False), send, read, [2, 3, 5])
slow = design("slow", make(True, False), send, read, [2, 3])
asks = design("asks", make(True, True), send, read, [2, 3])
`

// TestSurveyCovers: a case is covered up to the sending at which it fails or is stopped, and not further.
func TestSurveyCovers(t *testing.T) {
	for script, want := range map[string]int{
		`s = survey(good, travel=[2])`:            8 * cases * 7,
		`s = survey(slow, travel=[2], ticks=300)`: 8 * cases,
		`s = survey(design("wrong", make(False, False), send, lambda rig: 7, [2, 3]), travel=[2])`:                                        8 * cases,
		`s = survey(design("late", make(False, False), send, lambda rig: rig.out.width if rig.out.width < 3 else 7, [2, 3]), travel=[2])`: 8 * cases * 3,
		`s = survey(slow, travel=[2], ticks=300, runs=8)`:                                                                                 8,
	} {
		_, r := surveyed(t, countLine+script)
		if fieldOf(t, r, "cases") != fmt.Sprint(want) {
			t.Errorf("%s: %s transmissions are covered, want %d", script, fieldOf(t, r, "cases"), want)
		}
		wantText(t, r, fmt.Sprintf("covers %d transmissions: ", want))
	}
}

// TestSurveyChecked: how many cases were run to check is what was run; where every case stands for itself alone nothing was, and
// nothing is said.
func TestSurveyChecked(t *testing.T) {
	_, r := surveyed(t, countLine+"s = survey(good, travel=[2])")
	wantText(t, r, "checked: 32 cases that follow were run all the same, and did the same")

	s := stage.New()
	p := &surveyPlan{Rows: []surveyRow{{}}, Layouts: []surveyLayout{apartLayout()}}
	w := &Survey{Crew: trial.NewCrew(s.Env), Plan: p}
	defer w.Close()
	p.count()
	if why, err := w.guard(); why != "" || err != nil {
		t.Fatal(why, err)
	}
	if text := (&Finding{Plan: p}).ran(); strings.Contains(text, "checked") || !strings.Contains(text, "covers") {
		t.Errorf("no case follows from another, but:\n%s", text)
	}
}

// TestSurveyRuns: runs is obeyed in whole cases, but for one case a row.
func TestSurveyRuns(t *testing.T) {
	const row = 8 * 7 // settings, and sendings of a case
	for runs, want := range map[int]int{1: row, row: row, 2*row - 1: row, 2 * row: 2 * row} {
		_, r := surveyed(t, countLine+fmt.Sprintf("s = survey(good, travel=[2], runs=%d)", runs))
		if got := fieldOf(t, r, "runs"); got != fmt.Sprint(want) {
			t.Errorf("runs=%d: %s transmissions, want %d", runs, got, want)
		}
	}
}

// TestSurveyCutShort: where the rest of the cases drawn was left out it is said how many were tried, and no bound is spoken of.
func TestSurveyCutShort(t *testing.T) {
	_, r := surveyed(t, countLine+"s = survey(asks, travel=[2], ticks=300, runs=4000)")
	wantText(t, r, "by lot: 100 cases for each row, drawn with seed 1; in 8 of 8 rows only 3 cases were tried, since all of these were stopped, and they bound nothing\n")
	if strings.Contains(r.Text, "Clopper") || strings.Contains(r.Text, "one-sided") {
		t.Errorf("no row has a bound, but:\n%s", r.Text)
	}
}

// TestSurveyNamesValues: one number is named once, however often it is given, and what is no number is not called so.
func TestSurveyNamesValues(t *testing.T) {
	_, r := surveyed(t, countLine+"s = survey(good, over=[2, 2], travel=[2])")
	wantText(t, r, "survey of good: 1 number, 2\n", "it sends one after another to one machine, each at rest: 2, three times\n")
	const words = `d = design("words", make(False, False), lambda rig, n: fire(rig.into, len(n)), lambda rig: "a" * rig.out.width, ["aa", "aaa"])` + "\n"
	_, r = surveyed(t, countLine+words+`s = survey(d, travel=[2])`)
	wantText(t, r, `survey of words: 2 values, from "aa" to "aaa"`+"\n", `every value twice in a row, and "aa" again`)
	_, r = surveyed(t, countLine+words+`s = survey(d, travel=[2], over=["aa"])`)
	wantText(t, r, `survey of words: 1 value, "aa"`+"\n", "1 other value of the design")
}
