package survey

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"context"
	"fmt"
	"os"
	"slices"
	"strings"
)

// GatherSurvey puts the portions of one survey together: the text is what the survey would have printed in one run, the script its
// smallest counterexample, "" if there is none. try, as in Env, runs the script before it is named; nil: it is not tried.
func GatherSurvey(ctx context.Context, paths []string, try func(ctx context.Context, script string) error) (text, script string, err error) {
	defer func() { // a plan can be forged, sums and all
		if r := recover(); r != nil {
			text, script, err = "", "", fmt.Errorf("%s:1: the plan is none that a survey makes (%v)", paths[0], r)
		}
	}()
	plan, results, err := gather(paths)
	if err != nil {
		return "", "", err
	}
	f := plan.finish(results)
	f.prove(func(script string) string { return trial.Shows((&builtins.Env{Try: try}), ctx, script) })
	return f.Text(), f.script, ctx.Err()
}

// gather reads all portions, and sees that they are all of one survey.
func gather(paths []string) (*surveyPlan, []*surveyResult, error) {
	type place struct {
		path string
		line int
		surveyResult
	}
	var first *portionFile
	var results []*surveyResult
	at := map[int]place{}
	there := map[int]string{} // the file of each portion
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %s", path, builtins.FileTrouble(err))
		}
		f := new(portionFile)
		if err := f.read(path, data); err != nil {
			return nil, nil, err
		}
		if first == nil {
			first = f
		}
		if f.plan.Check != first.plan.Check {
			return nil, nil, fmt.Errorf("%s:1: it belongs to another survey than %s: %s", path, paths[0], first.plan.unlike(f.plan))
		}
		if f.portion.Count != first.portion.Count {
			return nil, nil, fmt.Errorf("%s:1: this is one portion of %d, %s one of %d", path, f.portion.Count, paths[0], first.portion.Count)
		}
		if err := f.planned(path); err != nil {
			return nil, nil, err
		}
		there[f.portion.Index] = fmt.Sprintf("%s:%d", path, len(f.lines)+1)
		for i, r := range f.results {
			if have, ok := at[r.Unit]; !ok {
				at[r.Unit] = place{path, f.lines[i], r}
				results = append(results, &r)
			} else if fmt.Sprint(have.surveyResult) != fmt.Sprint(r) { // a portion given twice says the same twice
				return nil, nil, fmt.Errorf("%s:%d: case %d ended otherwise in %s:%d", path, f.lines[i], r.Unit, have.path, have.line)
			}
		}
	}
	if first == nil {
		return nil, nil, fmt.Errorf("no portions given")
	}
	units := (&Survey{Plan: first.plan}).units(builtins.Portion{Index: 1, Count: 1})
	if missing := len(units) - len(results); missing > 0 {
		var absent []string
		for i := 1; i <= first.portion.Count && len(absent) < 10; i++ {
			if there[i] == "" {
				absent = append(absent, fmt.Sprint(i))
			}
		}
		if len(absent) > 0 {
			return nil, nil, fmt.Errorf("%d of %d cases are missing; portions that are not there: %s of %d", missing, len(units), strings.Join(absent, ", "), first.portion.Count)
		}
		for i := 1; i <= first.portion.Count; i++ {
			for _, u := range (&Survey{Plan: first.plan}).units(builtins.Portion{Index: i, Count: first.portion.Count}) {
				if _, ok := at[u]; !ok {
					return nil, nil, fmt.Errorf("%s: the file ends without case %d; %d of %d cases are missing in all: portion %d is not finished, or a line of it is gone", there[i], u, missing, len(units), i)
				}
			}
		}
	}
	slices.SortFunc(results, func(a, b *surveyResult) int { return a.Unit - b.Unit })
	return first.plan, results, nil
}

// unlike says in what two plans differ.
func (p *surveyPlan) unlike(q *surveyPlan) string {
	switch {
	case p.Design != q.Design:
		return fmt.Sprintf("of %s, not of %s", say.OneLine(q.Design), say.OneLine(p.Design))
	case p.Code != q.Code:
		return "the code of the design, or of something it uses, is another"
	case !slices.Equal(p.Numbers, q.Numbers):
		return "it sends other numbers"
	case p.Seed != q.Seed:
		return "the seed is another"
	}
	return "the rules, the cases or the size are others"
}
