package invent

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func shrinkWords() []builtins.Entry {
	return []builtins.Entry{{Name: "shrink", Topic: "invention", Sentence: "Makes a design smaller: leaves parts out, moves them, turns them, puts another kind in their place, closes up what lies between, one change at a time, as long as it reads what it read, until no single change betters it.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "whose build only places, and whose rig holds parts, cells, probes and plain values. A part that a probe watches stays, and of its kind; a key is not given another kind, and what is on the shelf is left out or stays as it is; loose slugs stay where they are"},
			{Name: "by", Type: "string", Default: `"parts"`, Optional: true, Allowed: measureNames, Doc: "what is to become less; of two machines with as much of it the one of fewer parts is better, then the one of less volume, then the one that lies closer together"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers that must be read as before; None: those of the design"},
			{Name: "keep", Type: "a list of strings", Default: "[]", Optional: true, Keyword: true, Doc: "measures that must not become more: any of those of by"},
			{Name: "surveyed", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: no change may be missed anywhere a survey looks, either"},
			{Name: "runs", Type: "number", Default: fmt.Sprint(surveyRuns), Optional: true, Keyword: true, Doc: "of each survey: " + survey.RunsDoc},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDoc}},
		Returns: "a report with .design (the smaller one), .steps (a list of what was done, in order), .was and .now (dicts from the measures to numbers), .script (the design as a script that stands alone), .sketch (its machine), .tried (how many changed machines were tried)",
		Example: trial.PlainFunctions + "def bent(f):\n    f.wire(path=[(0, 0), (3, 0), (3, 2)])\n    f.lamp((0, 1))\n    return struct(input=f.part((0, 0)), out=probe(f.part((3, 2))))\n\nr = shrink(design(\"bent line\", bent, send, read, [1, 5]))\nexpect_equal(r.now[\"parts\"], 2)\nprint(r.script)\nexpect(survey(r.design, runs=100).holds)",
		See:     []string{"spare", "sketch", "survey", "compare", "kept"}, Call: shrink}}
}

// shrinking is a machine on its way to less.
type shrinking struct {
	*inventing
	by, keep []int // measures
	asks     *asking
	done     []change
	now      *layout
	is       measures
	tried    int
	cells    map[engine.Cell]bool // of the rig, as it is built
	chain    bool                 // a chain of its slices holds, too, and must go on to
}

// chainOf is how many slices the chain has as which a design with slices is tried, too.
const chainOf = 4

func shrink(c *builtins.Call) (starlark.Value, error) {
	by := c.Choice("by", "parts")
	surveyed, runs := c.Bool("surveyed", false), c.Int("runs", surveyRuns, 1)
	keep := measuresArg(c, "keep")
	if c.Err != nil {
		return nil, c.Err
	}
	if d := trial.DesignArg(c, "design"); d != nil && by == "pitch" && (d.Slice == nil || d.Pitch == engine.Cell{}) {
		return nil, c.Fail("the design %s names no slice and pitch, so that it has no pitch to shrink; give it slice= and pitch=", d.Name)
	}
	x := begin(c)
	if x == nil {
		return nil, c.Err
	}
	defer x.Close()
	s := &shrinking{inventing: x, by: order(by), keep: keep}
	preamble := s.preamble()
	if err := s.begin(surveyed, runs); err != nil {
		return nil, c.Wrap(err)
	}
	was := s.is
	for more := true; more; {
		var err error
		if more, err = s.step(); err != nil {
			return nil, c.Wrap(s.soFar(by, err))
		}
	}
	v, err := s.report(by, was, preamble)
	if err == nil {
		c.Env.Kept = v
	}
	return v, c.Wrap(err)
}

// begin measures the machine as it is.
func (s *shrinking) begin(surveyed bool, runs int64) (err error) {
	s.cells = map[engine.Cell]bool{}
	d := s.designOf(nil)
	if _, _, err = (&writing{shrinking: s}).function("build", d, false); err == nil && d.Slice != nil {
		_, _, err = (&writing{shrinking: s}).function("slice", d, true)
	}
	if err != nil {
		return err
	}
	s.hold()
	s.now = s.layout.clone()
	if s.Design.Slice != nil && !s.Sized {
		how, err := s.tryAs(s.One(), s.designOf(nil), true)
		if err != nil {
			return err
		}
		if s.chain = how.Holds; !s.chain && s.by[0] == pitch {
			return fmt.Errorf("a chain of %d slices of the design %s does not read what it is sent, so that nothing tells how close they may stand: %s; want slices that do what they are for in a row", chainOf, s.Name, strings.TrimPrefix(how.Sent+": "+how.Says, ": "))
		}
	}
	if surveyed {
		if s.asks, err = s.ask(runs); err != nil {
			return err
		}
	}
	how, err := s.attempt(s.One(), nil, true)
	if err == nil && !how.holds {
		err = fmt.Errorf("the machine, taken apart and placed again, does not do what it did: %s", how.why)
	}
	s.is = how.measures
	return err
}

// hold marks the parts that probes of the rig watch: they must stay, as what they are.
func (s *shrinking) hold() {
	for _, m := range s.probes {
		for i := range s.layout.pieces {
			p := &s.layout.pieces[i]
			p.held = p.held || p.was == m.Probe.Target().ID
		}
	}
}

// designOf is the design with what was done so far, and one change more, if there is one.
func (s *shrinking) designOf(more *change) *trial.Design {
	all := s.done
	if more != nil {
		all = append(slices.Clip(all), *more)
	}
	c := changed(all)
	d := editedDesign(s.Design, c.edit)
	cell := func(at engine.Cell) engine.Cell {
		if c.cell == nil || !s.cells[at] {
			return at
		}
		return c.cell(at)
	}
	d.Build.(*edited).cell = cell
	if d.Slice != nil {
		d.Slice.(*edited).cell = cell
	}
	d.Pitch = d.Pitch.Add(c.pitch)
	return d
}

// attempted is what became of a changed machine.
type attempted struct {
	holds bool
	why   string
	measures
}

// attempt tries a change. all: every measure is taken, not only those that are asked for.
func (s *shrinking) attempt(r *trial.Runner, more *change, all bool) (a attempted, err error) {
	d := s.designOf(more)
	how, err := s.tryAs(r, d, false)
	if err == nil && how.Holds && s.chain {
		how, err = s.tryAs(r, d, true)
	}
	if err != nil || !how.Holds {
		return attempted{why: strings.TrimPrefix(how.Sent+": "+how.Says, ": ")}, err
	}
	l := s.now.clone()
	if more != nil {
		more.edit(l)
	}
	a = attempted{holds: true, measures: l.measured()}
	err = s.measure(r, d, &a.measures, all)
	return a, err
}

// step takes the best change that leaves the machine what it is, if there is any.
func (s *shrinking) step() (bool, error) {
	var apart engine.Cell // a pitch that is not looked at stays
	if s.chain {
		apart = s.designOf(nil).Pitch
	}
	all := s.now.changes(apart)
	var order []int // those that may be better, the best first
	less := make([]measures, len(all))
	for i := range all {
		l := s.now.clone()
		all[i].edit(l)
		if less[i] = l.measured(); s.mayBeLess(less[i], all[i]) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return less[a].compare(&less[b], s.static()) })
	how := make([]attempted, len(order))
	taken := -1
	err := s.Each(fmt.Sprintf("shrink by %s: %s so far", measureNames[s.by[0]], builtins.Text(s.is.show(s.by[0]))), len(order), func(r *trial.Runner, k int) (err error) {
		how[k], err = s.attempt(r, &all[order[k]], false)
		return err
	}, func(k int) (bool, error) {
		s.tried++
		if !how[k].holds || how[k].compare(&s.is, s.by) >= 0 || s.more(&how[k].measures) {
			return true, nil
		}
		if s.asks != nil {
			missed, err := s.asks.missedBy(s.designOf(&all[order[k]]))
			if err != nil || missed != "" {
				return true, err
			}
		}
		if taken < 0 || how[k].compare(&how[taken].measures, s.by) < 0 {
			taken = k
		}
		return s.dynamic(), nil // what is known before it is tried has been tried in order
	})
	if err != nil || taken < 0 {
		return false, err
	}
	c := all[order[taken]]
	c.edit(s.now)
	s.done, s.is = append(s.done, c), how[taken].measures
	s.Crew.Close() // with all the machines it has built
	s.Crew = trial.NewCrew(s.C.Env)
	return true, nil
}

func (s *shrinking) report(by string, was measures, preamble trial.Script) (starlark.Value, error) {
	w := &writing{shrinking: s, by: by}
	d, script, sketch, why, err := w.design(preamble)
	if err != nil {
		return nil, err
	}
	if err := s.confirm(d); err != nil {
		return nil, err
	}
	how, err := s.attempt(s.One(), nil, true)
	if err != nil {
		return nil, err
	}
	now := how.measures
	var steps []starlark.Value
	for _, c := range s.done {
		steps = append(steps, starlark.String(c.text))
	}
	f := starlark.StringDict{"design": d, "steps": starlark.NewList(steps), "was": was.dict(s.pitched()), "now": now.dict(s.pitched()), "script": starlark.String(script), "sketch": starlark.String(sketch), "tried": starlark.MakeInt(s.tried)}
	hold.FreezeAll(f)
	return &builtins.Report{Name: "shrink", Text: s.text(by, &was, &now, why) + "\n" + sketch, Fields: f}, nil
}

// confirm sees that the design, as it is written down, does what the machine did.
func (s *shrinking) confirm(d *trial.Design) error {
	for _, chain := range []bool{false, true} {
		if chain && !s.chain {
			continue
		}
		how, err := s.tryAs(s.One(), d, chain)
		if err != nil {
			return err
		}
		if !how.Holds {
			return fmt.Errorf("the smaller machine, written down as a script, does not do what it does: %s: %s", how.Sent, how.Says)
		}
	}
	return nil
}

// kept says what of the machine not every change is tried of.
func (s *shrinking) kept() (texts []string) {
	var held, keys, shelf []string
	for i := range s.now.pieces {
		switch p := &s.now.pieces[i]; {
		case p.gone:
		case p.held:
			held = append(held, s.label(i))
		case p.shelf > 0:
			shelf = append(shelf, s.label(i))
		case p.Kind == engine.Key:
			keys = append(keys, s.label(i))
		}
	}
	for _, of := range []struct {
		labels []string
		how    string
	}{{held, "a part that a probe watches stays, and of its kind"}, {keys, "a key is not given another kind"}, {shelf, "a part on the shelf is left out or stays as it is"}} {
		if len(of.labels) > 0 {
			texts = append(texts, of.how+": "+strings.Join(of.labels, "; "))
		}
	}
	if text := s.left(); text != "" {
		texts = append(texts, text+"; the volume is that of a box around all parts and loose slugs")
	}
	return texts
}

func (s *shrinking) pitched() bool { return s.Design.Slice != nil && s.Pitch != engine.Cell{} }

func (s *shrinking) text(by string, was, now *measures, why string) string {
	var b strings.Builder
	fill := func(text string) { b.WriteString(say.Fill(text, "", "", 80) + "\n") }
	fill(fmt.Sprintf("%s, shrunk by %s: %s", say.OneLine(s.Name), by, s.sent()))
	t := &builtins.Table{Head: []string{"", "was", "now"}}
	for m, name := range measureNames {
		if m != pitch || s.pitched() {
			t.Rows = append(t.Rows, []starlark.Value{starlark.String(name), was.show(m), now.show(m)})
		}
	}
	b.WriteString(t.String() + "\n")
	fill(fmt.Sprintf("%s, %s tried; no single change of those that are tried betters it: a part left out, moved by a cell, turned or of another kind, a plane closed up", say.Count(len(s.done), "step"), say.Count(s.tried, "changed machine")))
	for _, text := range s.kept() {
		fill(text)
	}
	if s.asks != nil && s.asks.whole.Exhaustive() {
		fill("nothing was missed in any case of a survey")
	} else if s.asks != nil {
		fill(fmt.Sprintf("nothing was missed in the cases that surveys of %s drew by lot", say.Count(int(s.asks.runs), "transmission")))
	}
	if s.chain {
		fill(fmt.Sprintf("a chain of %d slices goes on to read what it is sent", chainOf))
	} else if s.Design.Slice != nil {
		fill("a chain of its slices did not read all it is sent before, and is not looked at")
	}
	for _, c := range s.done {
		b.WriteString(say.Fill(c.text, "  ", "    ", 80) + "\n")
	}
	if why != "" {
		fill("no script tells it: " + why)
	}
	return strings.TrimSuffix(b.String(), "\n")
}
