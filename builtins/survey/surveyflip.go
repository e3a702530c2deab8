package survey

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/syntax"
)

// The smallest counterexample of a survey, what makes it right, and the script that shows it.

// gap is how far a unit is from a row under a setting: first by the machine and by how many rules differ, then by orientation, then
// by how many pairs the orders put differently that matter in the unit's orientation.
func (p *surveyPlan) gap(u, slices int, from trial.Setting) int {
	a, n := p.setting(u), 10_000*builtins.BoolInt(p.row(u).Slices != slices)
	for _, differs := range []bool{a.Rules.News != from.Rules.News, a.Rules.Reads != from.Rules.Reads, a.Rules.Travel != from.Rules.Travel, a.Late != from.Late} {
		n += 1000 * builtins.BoolInt(differs)
	}
	n += 500*builtins.BoolInt(a.Rules.Mixed != from.Rules.Mixed || a.Rules.Seed != from.Rules.Seed) + 50*builtins.BoolInt(a.At != from.At)
	return n + 100*builtins.BoolInt(a.X != from.X || a.Y != from.Y || a.Mirror != from.Mirror) + len(p.swapped(u, from))
}

// swapped are the pairs of directions that a setting takes as they are written and a unit the other way, as far as that
// matters in the unit's orientation.
func (p *surveyPlan) swapped(u int, from trial.Setting) [][2]engine.Dir {
	if from.Rules.Mixed || p.row(u).Mixed {
		return nil
	}
	return slices.DeleteFunc(swapped(from.Rules.Order, p.setting(u).Rules.Order), func(pair [2]engine.Dir) bool {
		return !p.tells(u, pair[0], pair[1])
	})
}

// counterexample finds the number that fails first, nearest to the usual rules, and what makes it right.
func (f *Finding) counterexample(results []*surveyResult) {
	p := f.Plan
	sorted := slices.Clone(results)
	slices.SortFunc(sorted, func(a, b *surveyResult) int { return a.Unit - b.Unit })
	best := 0
	for _, r := range sorted {
		if r.Fail < 0 || r.Kind == stopped || f.worst != nil && r.Fail > f.worst.Fail {
			continue
		}
		if d := p.gap(r.Unit, 0, p.Base); f.worst == nil || r.Fail < f.worst.Fail || d < best {
			f.worst, best = r, d
		}
	}
	if f.worst == nil {
		return
	}
	bad, machine := p.setting(f.worst.Unit), p.row(f.worst.Unit).Slices
	var good *surveyResult
	for _, r := range sorted {
		if f.fails(r) {
			continue
		}
		if d := p.gap(r.Unit, machine, bad); good == nil || d < best {
			good, best = r, d
		}
	}
	f.flip = f.turnsOn(sorted, bad, good)
	if f.script = f.reproduce(bad); f.script != "" {
		f.end = f.parts(bad, good)
	}
}

// fails reports whether a case does not get past the sending of the counterexample.
func (f *Finding) fails(r *surveyResult) bool { return r.Fail >= 0 && r.Fail <= f.worst.Fail }

// turnsOn says what makes the counterexample right.
func (f *Finding) turnsOn(sorted []*surveyResult, bad trial.Setting, good *surveyResult) string {
	if good == nil {
		return "no case that was tried gets past that sending"
	}
	p := f.Plan
	g := p.setting(good.Unit)
	var changes []string
	if a, b := p.row(good.Unit), p.row(f.worst.Unit); a.Slices != b.Slices {
		changes = append(changes, fmt.Sprintf("the machine is %s, not %s", a.machine(), b.machine()))
	}
	if g.Rules.News != bad.Rules.News {
		changes = append(changes, fmt.Sprintf("news is %q, not %q", builtins.NewsNames[g.Rules.News], builtins.NewsNames[bad.Rules.News]))
	}
	if g.Rules.Reads != bad.Rules.Reads {
		changes = append(changes, fmt.Sprintf("reads is %q, not %q", builtins.ReadsNames[g.Rules.Reads], builtins.ReadsNames[bad.Rules.Reads]))
	}
	if g.Rules.Travel != bad.Rules.Travel {
		changes = append(changes, fmt.Sprintf("travel is %d, not %d", g.Rules.Travel, bad.Rules.Travel))
	}
	if g.Late != bad.Late {
		changes = append(changes, fmt.Sprintf("the pulse falls %s, not %s", g.Fall(), bad.Fall()))
	}
	if g.Rules.Mixed != bad.Rules.Mixed || g.Rules.Seed != bad.Rules.Seed {
		changes = append(changes, fmt.Sprintf("order is %q, not %q", builtins.Rules{Rules: g.Rules}.OrderText(), builtins.Rules{Rules: bad.Rules}.OrderText()))
	}
	if g.At != bad.At || g.X != bad.X || g.Y != bad.Y || g.Mirror != bad.Mirror {
		changes = append(changes, fmt.Sprintf("it lies as %v, not as %v", g.Frame(), bad.Frame()))
	}
	if len(changes) == 0 {
		if pair, n := f.pair(sorted, bad); n > 0 {
			return fmt.Sprintf("it fails once %v is told before %v: so in all %d orders tried under these rules", pair[0], pair[1], n)
		}
	}
	for _, pair := range p.swapped(good.Unit, bad) {
		changes = append(changes, fmt.Sprintf("%v is told before %v", pair[1], pair[0]))
	}
	if p.Sample > 0 || g.Rules.Mixed || bad.Rules.Mixed {
		return "of the cases drawn, the nearest that gets past that sending: " + strings.Join(changes, " and ")
	}
	return "it is right if " + strings.Join(changes, " and ")
}

// pair finds two directions whose order alone decides, under one setting and in one orientation, whether it fails; tried is in
// how many orders, 0 if there are no such two.
func (f *Finding) pair(sorted []*surveyResult, bad trial.Setting) (found [2]engine.Dir, tried int) {
	p := f.Plan
	var fails, holds [][6]engine.Dir
	for _, r := range sorted {
		s := p.setting(r.Unit)
		if p.gap(r.Unit, p.row(f.worst.Unit).Slices, bad) < 100 {
			if f.fails(r) {
				fails = append(fails, s.Rules.Order)
			} else {
				holds = append(holds, s.Rules.Order)
			}
		}
	}
	before := func(o [6]engine.Dir, a, b engine.Dir) bool { return slices.Index(o[:], a) < slices.Index(o[:], b) }
	for a := engine.PosX; a <= engine.NegZ; a++ {
		for b := engine.PosX; b <= engine.NegZ; b++ {
			if a != b && p.tells(f.worst.Unit, a, b) && !slices.ContainsFunc(fails, func(o [6]engine.Dir) bool { return !before(o, a, b) }) &&
				!slices.ContainsFunc(holds, func(o [6]engine.Dir) bool { return before(o, a, b) }) {
				return [2]engine.Dir{a, b}, len(fails) + len(holds)
			}
		}
	}
	return found, 0
}

// reproduce is a script that shows the counterexample. "" if the design's functions cannot be written down.
func (f *Finding) reproduce(s trial.Setting) string {
	p, r := f.Plan, f.worst
	slices := p.row(r.Unit).Slices
	preamble := p.Preamble
	if slices > 0 {
		preamble = p.Slice
	}
	if preamble == "" {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Counterexample: the design %s: %s.\n", say.Clean(p.Design), say.Clean(f.worstSays()))
	fmt.Fprintf(&b, "# %s.\n\n%s\n", say.Clean(f.flip), preamble)
	posed := b.Len()
	b.WriteString(underRules(s))
	build, send, read := f.callsOf(s)
	if r.ShortKind == unbuilt {
		fmt.Fprintf(&b, "expect_error(lambda: %s, %s)\n", build, syntax.Quote(r.ShortGot, false))
		return b.String()
	}
	fmt.Fprintf(&b, "rig = %s\n", build)
	if slices > 0 {
		b.WriteString("out = probe(rig[-1].output)\n")
	}
	if slices > 0 && r.ShortKind == unmoved {
		read = "out.widths[-1]" // out.width is None where the pulse is an earlier one's
	}
	last := len(r.Short) - 1
	n := p.Numbers[r.Short[last]]
	for _, k := range r.Short[:last] {
		fmt.Fprintf(&b, send+"run()\ngot = %s\n", p.Numbers[k], read)
	}
	if text, ok := strings.CutPrefix(r.ShortGot, "send"+errorIn); ok && r.ShortKind == failing {
		fmt.Fprintf(&b, "expect_error(lambda: send(rig, %s), %s)\n", n, syntax.Quote(text, false))
		return b.String()
	}
	posing := b.String()[posed:]
	if r.ShortKind == unmoved {
		b.WriteString("began = now().tick\n")
	}
	fmt.Fprintf(&b, send+"run()\n", n)
	if text, ok := strings.CutPrefix(r.ShortGot, "read"+errorIn); ok && r.ShortKind == failing {
		fmt.Fprintf(&b, "expect_error(lambda: read(rig), %s)\n", syntax.Quote(text, false))
		return b.String()
	}
	fmt.Fprintf(&b, "got = %s\nprint(%s, got)\n", read, syntax.Quote("sent "+n+", read", false))
	if r.ShortKind == unmoved {
		fmt.Fprintf(&b, "expect(got == %s, \"the counterexample does not come about: another number is read\")\n", n)
		fmt.Fprintf(&b, "\n# But the last does not arrive: where so much time passes and it is not sent, the same is read, of an earlier sending.\n")
		fmt.Fprintf(&b, "took = now().tick - began\n%srun(took)\nwithout = %s\nprint(\"not sent, read\", without)\n", posing, read)
		fmt.Fprintf(&b, "expect(without == %s, \"the counterexample does not come about: it is read only if it is sent\")\n", n)
	} else {
		fmt.Fprintf(&b, "expect(got != %s, \"the counterexample does not come about: it reads right\")\n", n)
	}
	return b.String()
}

// prove keeps the script only if it runs alone and shows the failure. shows gives why it does not, "" if it does.
func (f *Finding) prove(shows func(script string) string) {
	f.why = f.Plan.Why
	if f.why == "" {
		f.why = "its slice cannot be written down"
	}
	if f.script == "" {
		return
	}
	if f.end != "" && shows(f.script+f.end) == "" {
		f.script += f.end
		return
	}
	f.call = "" // the sequence was cut short where it fails: nobody has seen the other case read that right
	if why := shows(f.script); why != "" {
		f.script, f.why = "", "the one that was written does not show it: "+why
	}
}
