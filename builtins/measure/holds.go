package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/trial"

	"fmt"

	"go.starlark.net/starlark"
)

// holdsRuns is how many transmissions the survey in a comparison or a data sheet may run.
// With 19 numbers and a chain it is some 35 cases a row: 28 sendings in each of 48 rows.
const holdsRuns = 48_000

var runsParam = builtins.Param{Name: "runs", Type: "number", Default: fmt.Sprint(holdsRuns), Optional: true, Keyword: true,
	Doc: "of the survey that finds out where a design holds: " + survey.RunsDoc}

// holds is where a design holds, as survey finds it. A design that cannot be surveyed has no such figure; how says why.
func holds(l *trial.Bay, size int, runs int64, preamble trial.Script) (figure, *survey.Finding, error) {
	fig := figure{name: "holds", unit: "cases", better: 1}
	numbers, err := l.NumbersOf(l.C.Thread, size)
	if err != nil {
		return fig, nil, err
	}
	numbers = trial.Once(l.C.Env, numbers)
	w, settings := survey.StartSurvey(l.C, l.Design, size, numbers, survey.UsualTravel, true)
	defer w.Close()
	f, err := w.Whole(settings, runs, preamble)
	if stopped := l.C.Env.Stopped(); stopped != nil {
		return fig, nil, stopped
	}
	if err != nil {
		fig.how = "no survey can be made: " + builtins.Message(err)
		return fig, nil, nil
	}
	hold, cases, stopped, machines := 0, 0, 0, "as built"
	mixedHold, mixedCases := 0, 0
	for _, r := range f.Rows {
		stopped += r.Stopped
		if r.Mixed {
			mixedHold, mixedCases = mixedHold+r.Hold, mixedCases+r.Cases
		} else {
			hold, cases = hold+r.Hold, cases+r.Cases
		}
		if r.Slices > 0 {
			machines = fmt.Sprintf("as built and as a chain of %d slices", r.Slices)
		}
	}
	fig.value, fig.number, fig.bare = fmt.Sprintf("%d of %d", hold, cases), int64(hold)*1_000_000/int64(cases), true
	fig.basis = basis{numbers: listed(numbers), sizes: say.Count(cases, "case")}
	fig.how = fmt.Sprintf("survey, %s: 24 rotations and their mirror images, 720 neighbour orders, each the same in all cells, news fifo and lifo, reads turn and step, early and late fall, travel %v; each case sends %s to one machine, %s in all; %d run", machines, starlark.Tuple(survey.UsualTravel), say.CountValues(trial.Nouns(numbers)), say.Count(len(f.Plan.Sendings), "sending"), f.Runs)
	if f.Plan.Sample > 0 {
		fig.value += " drawn"
		fig.better, fig.unranked = 0, "cases were drawn by lot, and another lot may find what this did not"
		fig.how += fmt.Sprintf(", the cases drawn by lot with seed %d", f.Plan.Seed)
	}
	if mixedCases > 0 {
		order := builtins.Rules{Rules: l.Rules}.OrderText()
		fig.value += fmt.Sprintf(", and %d of %d drawn under %q", mixedHold, mixedCases, order)
		fig.better, fig.unranked = 0, "cases under mixed orders were drawn by lot, and another lot may find what this did not"
		fig.how += fmt.Sprintf("; and under %q, where each cell has an order of its own, %s for each of the other rules, each at a place and in an orientation by lot, with seed %d", order, say.Count(f.Plan.Mixed, "case"), f.Plan.Seed)
	}
	if stopped > 0 {
		fig.value += fmt.Sprintf(", %d stopped", stopped)
		fig.better, fig.unranked = 0, "some cases were stopped, which is neither right nor wrong"
	}
	return fig, f, nil
}
