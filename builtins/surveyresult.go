package builtins

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// surveyResult is what one unit found.
type surveyResult struct {
	Unit int    `json:"unit"`
	Runs int    `json:"runs"` // transmissions
	Fail int    `json:"fail"` // which number failed first; -1: none
	Got  string `json:"got,omitempty"`
}

// finding is what a survey says in the end.
type finding struct {
	plan        *surveyPlan
	rows        []findingRow
	runs, cases int64
	worst       *surveyResult // the smallest counterexample
	flip        string
	script      string
	why         string // why there is no script
}

// findingRow is one setting.
type findingRow struct {
	setting      Setting
	cases, hold  int // orientations and orders
	least        int // the smallest number that fails, -1: none
	got          string
	runs         int64
	lower, upper float64 // drawn by lot: bounds, at 95 %, of the share of cases that fail
}

// finish makes a finding of the results of all units.
func (p *surveyPlan) finish(results []surveyResult) *finding {
	f := &finding{plan: p}
	by := make(map[int]*surveyResult, len(results))
	for i := range results {
		by[results[i].Unit] = &results[i]
		f.runs += int64(results[i].Runs)
	}
	per := p.before(len(p.Poses))
	for k, s := range p.Settings {
		row := findingRow{setting: s, least: -1}
		count := func(r *surveyResult, cases int) {
			row.cases += cases
			if r.Fail < 0 {
				row.hold += cases
			} else if row.least < 0 || r.Fail < row.least {
				row.least, row.got = r.Fail, r.Got
			}
		}
		if p.Sample == 0 {
			for u := k * per; u < (k+1)*per; u++ {
				count(by[u], p.like(u))
				row.runs += int64(by[u].Runs)
			}
		} else {
			for _, u := range p.Drawn[k] {
				count(by[u], 1)
			}
			row.lower, row.upper = clopperPearson(row.cases-row.hold, row.cases)
		}
		f.cases += int64(row.cases) * int64(len(p.Numbers))
		f.rows = append(f.rows, row)
	}
	f.counterexample(results)
	return f
}

// gap is how far a unit is from a setting: first by how many rules differ, then by orientation, then by how many pairs the
// orders put differently that matter in the unit's orientation.
func (p *surveyPlan) gap(u int, from Setting) int {
	a, n := p.setting(u), 0
	for _, differs := range []bool{a.Rules.News != from.Rules.News, a.Rules.Reads != from.Rules.Reads, a.Rules.Travel != from.Rules.Travel, a.Late != from.Late} {
		n += 1000 * boolInt(differs)
	}
	return n + 100*boolInt(a.X != from.X || a.Y != from.Y || a.Mirror != from.Mirror) + len(p.swapped(u, from))
}

// swapped are the pairs of directions that a setting takes as they are written and a unit the other way, as far as that
// matters in the unit's orientation.
func (p *surveyPlan) swapped(u int, from Setting) [][2]engine.Dir {
	_, pose, _ := p.where(u)
	return slices.DeleteFunc(swapped(from.Rules.Order, p.setting(u).Rules.Order), func(pair [2]engine.Dir) bool {
		return !p.Poses[pose].tells(pair[0], pair[1])
	})
}

// counterexample finds the smallest number that fails, nearest to the usual rules, and what makes it right.
func (f *finding) counterexample(results []surveyResult) {
	p := f.plan
	sorted := slices.Clone(results)
	slices.SortFunc(sorted, func(a, b surveyResult) int { return a.Unit - b.Unit })
	best := 0
	for i := range sorted {
		r := &sorted[i]
		if r.Fail < 0 {
			continue
		}
		d := p.gap(r.Unit, p.Base)
		if f.worst == nil || r.Fail < f.worst.Fail || r.Fail == f.worst.Fail && d < best {
			f.worst, best = r, d
		}
	}
	if f.worst == nil {
		return
	}
	bad := p.setting(f.worst.Unit)
	var good *surveyResult
	for i := range sorted {
		r := &sorted[i]
		if r.Fail >= 0 && r.Fail <= f.worst.Fail {
			continue
		}
		d := p.gap(r.Unit, bad)
		if good == nil || d < best {
			good, best = r, d
		}
	}
	f.flip = f.turnsOn(sorted, bad, good)
	f.script = f.reproduce(bad)
}

// turnsOn says what makes the counterexample right.
func (f *finding) turnsOn(sorted []surveyResult, bad Setting, good *surveyResult) string {
	if good == nil {
		return "it fails so under every rule, orientation and order tried"
	}
	g := f.plan.setting(good.Unit)
	var changes []string
	if g.Rules.News != bad.Rules.News {
		changes = append(changes, fmt.Sprintf("news is %q, not %q", newsNames[g.Rules.News], newsNames[bad.Rules.News]))
	}
	if g.Rules.Reads != bad.Rules.Reads {
		changes = append(changes, fmt.Sprintf("reads is %q, not %q", readsNames[g.Rules.Reads], readsNames[bad.Rules.Reads]))
	}
	if g.Rules.Travel != bad.Rules.Travel {
		changes = append(changes, fmt.Sprintf("travel is %d, not %d", g.Rules.Travel, bad.Rules.Travel))
	}
	if g.Late != bad.Late {
		changes = append(changes, fmt.Sprintf("the pulse falls %s, not %s", g.fall(), bad.fall()))
	}
	if g.X != bad.X || g.Y != bad.Y || g.Mirror != bad.Mirror {
		changes = append(changes, fmt.Sprintf("it lies as %v, not as %v", g.frame(), bad.frame()))
	}
	if len(changes) == 0 {
		if pair, ok := f.pair(sorted, bad); ok {
			return fmt.Sprintf("it fails once %v is told before %v: so in all orders tried under these rules", pair[0], pair[1])
		}
	}
	for _, pair := range f.plan.swapped(good.Unit, bad) {
		changes = append(changes, fmt.Sprintf("%v is told before %v", pair[1], pair[0]))
	}
	return "it is right if " + strings.Join(changes, " and ")
}

// pair finds two directions whose order alone decides, under one setting and in one orientation, whether it fails.
func (f *finding) pair(sorted []surveyResult, bad Setting) (found [2]engine.Dir, ok bool) {
	p := f.plan
	var fails, holds [][6]engine.Dir
	for _, r := range sorted {
		s := p.setting(r.Unit)
		if o := s.Rules.Order; p.gap(r.Unit, bad) < 100 {
			if r.Fail >= 0 && r.Fail <= f.worst.Fail {
				fails = append(fails, o)
			} else {
				holds = append(holds, o)
			}
		}
	}
	_, pose, _ := p.where(f.worst.Unit)
	before := func(o [6]engine.Dir, a, b engine.Dir) bool { return slices.Index(o[:], a) < slices.Index(o[:], b) }
	for a := engine.PosX; a <= engine.NegZ; a++ {
		for b := engine.PosX; b <= engine.NegZ; b++ {
			if a != b && p.Poses[pose].tells(a, b) && !slices.ContainsFunc(fails, func(o [6]engine.Dir) bool { return !before(o, a, b) }) &&
				!slices.ContainsFunc(holds, func(o [6]engine.Dir) bool { return before(o, a, b) }) {
				return [2]engine.Dir{a, b}, true
			}
		}
	}
	return found, false
}

// reproduce is a script that shows the counterexample. "" if the design's functions cannot be written down.
func (f *finding) reproduce(s Setting) string {
	p := f.plan
	if p.Preamble == "" {
		return ""
	}
	n, got := p.Numbers[f.worst.Fail], f.worst.Got
	var b strings.Builder
	fmt.Fprintf(&b, "# Counterexample: the design %s, of number %s, reads %s.\n", clean(p.Design), clean(n), clean(got))
	fmt.Fprintf(&b, "# %s.\n\n%s\n", clean(f.flip), p.Preamble)
	fmt.Fprintf(&b, "fresh(order=%q, news=%q, reads=%q, travel=%d, reach=%d, run=%d)\n", Rules{s.Rules}.order(), newsNames[s.Rules.News], readsNames[s.Rules.Reads], s.Rules.Travel, s.Rules.Reach, s.Rules.Run)
	fmt.Fprintf(&b, "falls(%q)\n", s.fall())
	size := ""
	if p.Size > 0 {
		size = fmt.Sprint(", ", p.Size)
	}
	build := fmt.Sprintf("build(frame(x=%q, y=%q, mirror=%s)%s)", s.X, s.Y, starlark.Bool(s.Mirror).String(), size)
	if text, ok := strings.CutPrefix(got, "build: "); ok {
		fmt.Fprintf(&b, "expect_error(lambda: %s, %s)\n", build, syntax.Quote(text, false))
		return b.String()
	}
	fmt.Fprintf(&b, "rig = %s\nsend(rig, %s)\nrun()\n", build, n)
	if text, ok := strings.CutPrefix(got, "read: "); ok {
		fmt.Fprintf(&b, "expect_error(lambda: read(rig), %s)\n", syntax.Quote(text, false))
		return b.String()
	}
	fmt.Fprintf(&b, "got = read(rig)\nprint(%s, got)\nexpect(got != %s, \"the counterexample does not come about: it reads right\")\n", syntax.Quote("sent "+n+", read", false), n)
	return b.String()
}

// prove keeps the script only if it runs alone and shows the failure. shows gives why it does not, "" if it does.
func (f *finding) prove(shows func(script string) string) {
	f.why = f.plan.Why
	if f.script == "" {
		return
	}
	if why := shows(f.script); why != "" {
		f.script, f.why = "", "the one that was written does not show it: "+why
	}
}

// table is the matrix of what holds.
func (f *finding) table() *Table {
	t := &Table{Head: []string{"news", "reads", "fall", "travel", "holds", "cases", "fails at", "read"}}
	if f.plan.Sample > 0 {
		t.Head = append(t.Head, "fail at most %")
	}
	for _, r := range f.rows {
		fails, got := starlark.Value(starlark.None), starlark.Value(starlark.None)
		if r.least >= 0 {
			fails, got = starlark.String(f.plan.Numbers[r.least]), starlark.String(r.got)
		}
		row := []starlark.Value{starlark.String(newsNames[r.setting.Rules.News]), starlark.String(readsNames[r.setting.Rules.Reads]), starlark.String(r.setting.fall()),
			starlark.MakeInt(r.setting.Rules.Travel), starlark.MakeInt(r.hold), starlark.MakeInt(r.cases), fails, got}
		if f.plan.Sample > 0 {
			row = append(row, starlark.String(fmt.Sprintf("%.3g", 100*r.upper)))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func (f *finding) holds() bool { return f.worst == nil }

// text is the survey as it prints.
func (f *finding) text() string {
	p := f.plan
	var b strings.Builder
	fmt.Fprintf(&b, "survey of %s: %s, from %s to %s\n", oneLine(p.Design), count(len(p.Numbers), "number"), p.Numbers[0], p.Numbers[len(p.Numbers)-1])
	b.WriteString(f.table().String() + "\n")
	b.WriteString("a case: one of 48 orientations (24 turns and their mirror images) under one of 720 neighbour orders; it holds if every number reads right\n")
	orders := 0
	for _, pose := range p.Poses {
		orders += len(pose.Orders)
	}
	how := "turns about the vertical, since tokens drop"
	if !p.Down {
		how = "turns and mirror images"
	}
	fmt.Fprintf(&b, "run: %s of the 48, in all of them together %s, under each of the %d rows above: %d transmissions, each case up to its first failure\n", count(len(p.Poses), "orientation"), count(orders, "order"), len(p.Settings), f.runs)
	if p.Sample > 0 {
		fmt.Fprintf(&b, "by lot: %s for each setting, drawn with seed %d; \"fail at most %%\" is the upper end of the interval of Clopper and Pearson (Biometrika 26, 1934) at 95 %%, that is 3/%d where none failed (Hanley and Lippman-Hand, JAMA 249, 1983)\n",
			count(p.Sample, "case"), p.Seed, p.Sample)
	}
	fmt.Fprintf(&b, "stands for %d transmissions: %s that the design was found to follow, part for part and event for event, and neighbour orders that no cell of it can tell apart\n", f.cases, how)
	if f.holds() {
		if p.Sample == 0 {
			b.WriteString("it holds everywhere\n")
		} else {
			b.WriteString("no failure was found\n")
		}
		return strings.TrimSuffix(b.String(), "\n")
	}
	s := p.setting(f.worst.Unit)
	fmt.Fprintf(&b, "smallest counterexample: %s is sent and %s is read, under order=%q, %v, x=%q, y=%q, mirror=%s\n", p.Numbers[f.worst.Fail], f.worst.Got, Rules{s.Rules}.order(), s, s.X, s.Y, starlark.Bool(s.Mirror).String())
	b.WriteString(f.flip + "\n")
	if f.script == "" {
		b.WriteString("no script reproduces it: " + f.why + "\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func (f *finding) report() *Report {
	d := starlark.StringDict{"holds": starlark.Bool(f.holds()), "table": f.table(), "runs": starlark.MakeInt64(f.runs), "cases": starlark.MakeInt64(f.cases),
		"exhaustive": starlark.Bool(f.plan.Sample == 0), "n": starlark.None, "got": starlark.None, "flip": starlark.String(f.flip), "script": starlark.String(f.script)}
	if f.worst != nil {
		d["n"], d["got"] = starlark.String(f.plan.Numbers[f.worst.Fail]), starlark.String(f.worst.Got)
	}
	return &Report{name: "survey", text: f.text(), fields: d}
}

func stringWriter(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

// clopperPearson is the exact 95 % interval of a share of which k of n were seen; with none or all seen it is one-sided, so that
// none of n gives an upper bound of 1 - 0.05^(1/n), about 3/n. C. J. Clopper, E. S. Pearson, Biometrika 26, 1934, 404-413; J. A. Hanley, A. Lippman-Hand,
// JAMA 249, 1983, 1743-1745.
func clopperPearson(k, n int) (lower, upper float64) {
	if n == 0 {
		return 0, 1
	}
	tail := .025
	if k == 0 || k == n {
		tail = .05
	}
	upper, lower = 1, 0
	if k < n {
		upper = bisect(func(p float64) bool { return binomialUpTo(k, n, p) > tail })
	}
	if k > 0 {
		lower = bisect(func(p float64) bool { return 1-binomialUpTo(k-1, n, p) < tail })
	}
	return lower, upper
}

// bisect finds where a test stops to hold between 0 and 1.
func bisect(holds func(float64) bool) float64 {
	lo, hi := 0.0, 1.0
	for range 60 {
		if mid := (lo + hi) / 2; holds(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// binomialUpTo is the chance of at most k of n.
func binomialUpTo(k, n int, p float64) float64 {
	if p <= 0 {
		return 1
	}
	if p >= 1 {
		return float64(boolInt(k >= n))
	}
	whole, _ := math.Lgamma(float64(n + 1))
	sum := 0.0
	for i := 0; i <= k; i++ {
		a, _ := math.Lgamma(float64(i + 1))
		b, _ := math.Lgamma(float64(n - i + 1))
		sum += math.Exp(whole - a - b + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
	}
	return sum
}
