package survey

import (
	"pulsewright/builtins"

	"fmt"
	"io"
	"slices"
)

// surveyFormat is how a portion begins; it is another one when what stands in it changes.
const surveyFormat = "pulsewright survey 2"

// portionFile is the file of a portion: first the plan of the whole survey and which portion this is, then a line for each unit that is done.
type portionFile struct {
	plan    *surveyPlan
	portion builtins.Portion
	results []surveyResult
	lines   []int // of each result
	Lines
}

type portionHead struct {
	Portion builtins.Portion `json:"portion"`
	Plan    *surveyPlan      `json:"plan"`
}

// begin writes the first line.
func (f *portionFile) begin(w io.Writer, p *surveyPlan, sh builtins.Portion) error {
	f.plan, f.portion = p, sh
	return f.Write(w, portionHead{sh, p})
}

// add writes the line of a unit.
func (f *portionFile) add(w io.Writer, r surveyResult) error {
	return f.Write(w, r)
}

// read reads what has been done of a portion. Errors tell the file and the line.
func (f *portionFile) read(name string, data []byte) error {
	at := map[int]int{} // the line of each unit
	return f.Read(name, "survey", data, func(payload []byte) string {
		var head portionHead
		switch {
		case !Exactly(payload, &head) || head.Plan == nil || head.Plan.Format != surveyFormat || head.Plan.Check != head.Plan.Sum():
			return "this is no plan of a survey that this version can read"
		case head.Portion.Index < 1 || head.Portion.Index > head.Portion.Count:
			return fmt.Sprintf("there is no portion %d of %d", head.Portion.Index, head.Portion.Count)
		}
		f.plan, f.portion = head.Plan, head.Portion
		return ""
	}, func(line int, payload []byte) string {
		var r surveyResult
		if !Exactly(payload, &r) {
			return "this is no case of a survey that this version can read"
		}
		if first, twice := at[r.Unit]; twice {
			return fmt.Sprintf("case %d was in line %d already", r.Unit, first)
		}
		at[r.Unit] = line
		f.results, f.lines = append(f.results, r), append(f.lines, line)
		return ""
	})
}

// planned checks that a file has only what its portion was to do, and what a case can have.
func (f *portionFile) planned(name string) error {
	mine := map[int]bool{}
	for _, u := range (&Survey{Plan: f.plan}).units(f.portion) {
		mine[u] = true
	}
	for i, r := range f.results {
		switch {
		case !mine[r.Unit]:
			return fmt.Errorf("%s:%d: case %d is none of portion %d of %d", name, f.lines[i], r.Unit, f.portion.Index, f.portion.Count)
		case f.plan.odd(r):
			return fmt.Errorf("%s:%d: no case ends so: it is not within what was planned", name, f.lines[i])
		}
	}
	return nil
}

// odd reports whether a result is none that a unit of the plan can have.
func (p *surveyPlan) odd(r surveyResult) bool {
	if r.Fail < -1 || r.Fail >= len(p.Sendings) || r.Runs < 0 || r.Unsure < 0 || r.Unsure > len(p.Sendings) ||
		slices.ContainsFunc(r.Short, func(n int) bool { return n < 0 || n >= len(p.Numbers) }) {
		return true
	}
	if r.Fail < 0 {
		return r.Kind != "" || r.Got != "" || len(r.Short) > 0 || r.Runs != len(p.Sendings)
	}
	if r.Kind == unbuilt {
		return r.Runs != 0 || r.Fail != 0
	}
	return r.Runs != r.Fail+1 || !slices.Contains([]string{wrongly, unmoved, failing, stopped}, r.Kind) || (len(r.Short) == 0) != (r.Kind == stopped)
}
