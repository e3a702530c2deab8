package survey

import (
	"fmt"
	"io"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

// Finding is what a survey says in the end.
type Finding struct {
	Plan        *surveyPlan
	Rows        []findingRow
	Runs, cases int64         // transmissions run, and covered by them
	mixed       int64         // of both, under mixed orders
	worst       *surveyResult // the smallest counterexample
	stopped     *surveyResult // the first case that was stopped
	unsure      int           // cases in which some sending could not be told from none
	doubt       string        // why cases may not follow that were taken to follow
	flip        string
	script      string
	end         string // of the script: where the case parts from the nearest that reads right
	call        string // that shows it; "" if nothing does
	why         string // why there is no script
}

// findingRow is one row of the plan.
type findingRow struct {
	surveyRow
	Cases, Hold, Stopped int           // orientations and orders that were tried
	untried              int           // and that were not, since all that were tried were stopped
	least                *surveyResult // the one that fails first; nil: none
	runs                 int64
}

// finish makes a finding of the results of all units.
func (p *surveyPlan) finish(results []*surveyResult) *Finding {
	if p.starts == nil {
		p.count()
	}
	f := &Finding{Plan: p}
	by := make(map[int]*surveyResult, len(results))
	for _, r := range results {
		by[r.Unit] = r
		f.Runs += int64(r.Runs)
		if more := r.Asked &^ p.Asked; more != 0 {
			f.doubt = fmt.Sprintf("a case asked for something that none had asked for as the survey was planned (%v), so that nothing is known of the cases that were not run; survey it in one run", more)
		}
	}
	for k := range p.Rows {
		row := findingRow{surveyRow: p.Rows[k]}
		count := func(r *surveyResult, cases int) {
			row.Cases += cases
			row.runs += int64(r.Runs)
			covers := cases
			if p.Sample > 0 { // drawn by lot, it stands for itself
				covers = 1
			}
			f.cases += int64(covers) * int64(r.Runs) // up to where it failed or was stopped
			f.mixed += int64(builtins.BoolInt(row.Mixed)) * int64(r.Runs)
			switch {
			case r.Fail < 0:
				row.Hold += cases
			case r.Kind == stopped:
				row.Stopped += cases
				if f.stopped == nil {
					f.stopped = r
				}
			case row.least == nil || r.Fail < row.least.Fail:
				row.least = r
			}
			if r.Unsure > 0 {
				f.unsure += cases
			}
		}
		all := p.cases()
		if row.Mixed {
			all = p.Mixed
		}
		switch {
		case p.Sample == 0 || row.Mixed || row.Only != nil:
			for _, u := range p.unitsOf(k) {
				count(by[u], p.like(u))
			}
		default:
			for _, u := range p.Drawn[k] {
				count(by[u], 1)
			}
			all = p.Sample
		}
		if row.Only != nil {
			row.untried = all - row.Cases
			if p.Sample > 0 && !row.Mixed {
				row.Cases, row.Stopped = len(row.Only), len(row.Only)
				row.untried = p.Sample - row.Cases
			}
		}
		f.Rows = append(f.Rows, row)
	}
	f.counterexample(results)
	return f
}

// nth is a number as one counts: 1st, 2nd.
func nth(n int) string {
	ending := "th"
	switch {
	case n%100 >= 11 && n%100 <= 13:
	case n%10 == 1:
		ending = "st"
	case n%10 == 2:
		ending = "nd"
	case n%10 == 3:
		ending = "rd"
	}
	return fmt.Sprint(n, ending)
}

// sending names the i-th sending of a sequence: "2nd: 3 after 3".
func (p *surveyPlan) sending(seq []int, i int) string {
	s := nth(i+1) + ": " + p.Numbers[seq[i]]
	if i > 0 {
		s += " after " + p.Numbers[seq[i-1]]
	}
	return s
}

// says is how a case ended, in words.
func says(kind, got string) string {
	switch kind {
	case stopped:
		return "stopped: " + got
	case unbuilt:
		return "build ends in an error: " + got
	case unmoved:
		return got + ", of an earlier sending"
	}
	return got
}

// table is the matrix of what holds.
func (f *Finding) table() *builtins.Table {
	chains, stops := false, false
	for _, r := range f.Rows {
		chains, stops = chains || r.Slices > 0, stops || r.Stopped > 0
	}
	t := &builtins.Table{Head: []string{"news", "reads", "fall", "travel", "holds"}}
	if f.Plan.Mixed > 0 {
		t.Head = append([]string{"order"}, t.Head...)
	}
	if chains {
		t.Head = append([]string{"machine"}, t.Head...)
	}
	if stops {
		t.Head = append(t.Head, "stopped")
	}
	t.Head = append(t.Head, "cases", "fails at sending", "read")
	if f.bounded() {
		t.Head = append(t.Head, "at most % do not hold, one-sided")
	}
	for _, r := range f.Rows {
		var row []starlark.Value
		if chains {
			row = append(row, starlark.String(r.machine()))
		}
		if f.Plan.Mixed > 0 {
			row = append(row, starlark.String(r.order()))
		}
		row = append(row, starlark.String(builtins.NewsNames[r.Rules.News]), starlark.String(builtins.ReadsNames[r.Rules.Reads]), starlark.String(r.Fall()),
			starlark.MakeInt(r.Rules.Travel), starlark.MakeInt(r.Hold))
		if stops {
			row = append(row, starlark.MakeInt(r.Stopped))
		}
		fails, got := starlark.Value(starlark.None), starlark.Value(starlark.None)
		if r.least != nil {
			fails, got = starlark.String(f.Plan.sending(f.Plan.Sendings, r.least.Fail)), starlark.String(says(r.least.Kind, r.least.Got))
		}
		row = append(row, starlark.MakeInt(r.Cases), fails, got)
		if f.bounded() {
			bound := starlark.Value(starlark.None) // those that were not drawn by lot bound nothing
			if f.lot(r) {
				bound = starlark.String(fmt.Sprintf("%.3g", 100*atMost(r.Cases-r.Hold, r.Cases)))
			}
			row = append(row, bound)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// machine is as what the design was tried.
func (r surveyRow) machine() string {
	if r.Slices == 0 {
		return "as built"
	}
	return say.Count(r.Slices, "slice")
}

// holds reports whether all that was tried reads right.
func (f *Finding) holds() bool { return f.worst == nil && f.stopped == nil && f.doubt == "" }

// everywhere reports whether it holds and nothing is left out of what survey promises to try.
func (f *Finding) everywhere() bool { return f.holds() && len(f.untried()) == 0 }

// untried is what the words of survey promise and was not tried, or not told.
func (f *Finding) untried() (left []string) {
	if f.Plan.Sample > 0 {
		left = append(left, "the cases that were not drawn")
	}
	if f.Plan.Mixed > 0 {
		left = append(left, "the numbers, places and orientations under mixed orders that were not drawn")
	}
	n, rows := 0, 0
	for _, r := range f.Rows {
		n, rows = n+r.untried, rows+builtins.BoolInt(r.untried > 0)
	}
	if n > 0 {
		left = append(left, fmt.Sprintf("%s in %s, where all that were tried were stopped", say.Count(n, "case"), say.Count(rows, "row")))
	}
	left = append(left, f.Plan.Untried...)
	if f.unsure > 0 {
		left = append(left, "whether a number arrives that read says already before it is sent, which no reading can tell")
	}
	return left
}

// Text is the survey as it prints.
func (f *Finding) Text() string {
	p := f.Plan
	var b strings.Builder
	fmt.Fprintf(&b, "survey of %s", say.OneLine(p.Design))
	if p.Size > 0 {
		fmt.Fprintf(&b, ", size %d", p.Size)
	}
	fmt.Fprintf(&b, ": %s, ", say.CountValues(p.Numbers))
	if last := len(p.Numbers) - 1; last > 0 {
		fmt.Fprintf(&b, "from %s to %s\n%s\n", p.Numbers[0], p.Numbers[last], f.table())
	} else {
		fmt.Fprintf(&b, "%s\n%s\n", p.Numbers[0], f.table())
	}
	b.WriteString(p.aCase())
	b.WriteString("it sends one after another to one machine, each at rest: " + p.sends() + "\n")
	b.WriteString("what send or read does only after more of these, or at a later tick, is not seen\n")
	b.WriteString(f.ran())
	b.WriteString(f.verdict())
	return strings.TrimSuffix(b.String(), "\n")
}

// sends says what a case sends.
func (p *surveyPlan) sends() string {
	twice := len(p.Sendings) - 1 - len(p.Numbers)
	switch {
	case len(p.Numbers) == 1:
		return fmt.Sprintf("%s, three times", p.Numbers[0])
	case twice == len(p.Numbers):
		return fmt.Sprintf("every %s twice in a row, and %s again at the end", say.Values(p.Numbers), p.Numbers[0])
	}
	return fmt.Sprintf("every %s, %d of them twice in a row, and %s again at the end", say.Values(p.Numbers), twice, p.Numbers[0])
}

// verdict says what holds, and what does not.
func (f *Finding) verdict() string {
	p := f.Plan
	var b strings.Builder
	left := strings.Join(f.untried(), "; ")
	switch {
	case f.doubt != "":
		return f.doubt + "\n"
	case f.everywhere():
		return "it holds everywhere\n"
	case f.holds():
		return "it holds in all that was tried; not tried: " + left + "\n"
	}
	if f.worst == nil {
		b.WriteString("nothing was read wrongly, but not all came to rest\n")
	} else {
		s, seq := p.setting(f.worst.Unit), f.worst.Short
		fmt.Fprintf(&b, "smallest counterexample: %s, under order=%q, %v, %s\n", f.worstSays(), builtins.Rules{Rules: s.Rules}.OrderText(), s, lies(s))
		if at := f.worst.Fail + 1; at != len(seq) {
			fmt.Fprintf(&b, "in its case it is the %s sending: %s\n", nth(at), strings.SplitN(p.sending(p.Sendings, f.worst.Fail), ": ", 2)[1])
		}
		b.WriteString(f.flip + "\n")
		if f.script == "" {
			b.WriteString("no script reproduces it: " + f.why + "\n")
		}
		if f.call != "" {
			b.WriteString("where it parts from the nearest case that reads right, the end of its script shows: " + f.call + "\n")
		}
	}
	if r := f.stopped; r != nil {
		s := p.setting(r.Unit)
		fmt.Fprintf(&b, "stopped: at the sending %s, under order=%q, %v, %s, it was %s; ticks= and turns= allow more\n",
			p.sending(p.Sendings, r.Fail), builtins.Rules{Rules: s.Rules}.OrderText(), s, lies(s), r.Got)
	}
	if left != "" {
		b.WriteString("not tried: " + left + "\n")
	}
	return b.String()
}

// worstSays tells the smallest counterexample.
func (f *Finding) worstSays() string {
	p, r := f.Plan, f.worst
	machine := ""
	if row := p.row(r.Unit); row.Slices > 0 {
		machine = " to a chain of " + row.machine()
	}
	names := make([]string, len(r.Short))
	for i, n := range r.Short {
		names[i] = p.Numbers[n]
	}
	last := len(names) - 1
	what := "is sent"
	if last > 0 {
		what = "are sent"
	}
	sent := fmt.Sprintf("%s %s%s", strings.Join(names, ", "), what, machine)
	switch r.ShortKind {
	case stopped, failing, unbuilt:
		return sent + "; " + says(r.ShortKind, r.ShortGot)
	case unmoved:
		return fmt.Sprintf("%s, and the last does not arrive: %s is read, but of an earlier sending", sent, r.ShortGot)
	}
	if last > 0 {
		return fmt.Sprintf("%s, and the last is read as %s", sent, r.ShortGot)
	}
	return fmt.Sprintf("%s and %s is read", sent, r.ShortGot)
}

func (f *Finding) report() *builtins.Report {
	d := starlark.StringDict{"holds": starlark.Bool(f.holds()), "everywhere": starlark.Bool(f.everywhere()), "table": f.table(), "runs": starlark.MakeInt64(f.Runs), "cases": starlark.MakeInt64(f.cases),
		"exhaustive": starlark.Bool(f.Plan.Sample == 0 && f.Plan.Mixed == 0), "n": starlark.None, "got": starlark.None, "sent": starlark.None, "sending": starlark.None,
		"flip": starlark.String(f.flip), "script": starlark.String(f.script), "parts": starlark.String(f.call)}
	if f.worst != nil {
		d["n"], d["got"] = starlark.String(f.Plan.Numbers[f.Plan.Sendings[f.worst.Fail]]), starlark.String(says(f.worst.Kind, f.worst.Got))
		var sent []starlark.Value
		for _, n := range f.worst.Short {
			sent = append(sent, starlark.String(f.Plan.Numbers[n]))
		}
		d["sent"], d["sending"] = starlark.NewList(sent), starlark.MakeInt(f.worst.Fail+1)
	}
	hold.FreezeAll(d)
	return &builtins.Report{Name: "survey", Text: f.Text(), Fields: d}
}

func stringWriter(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}
