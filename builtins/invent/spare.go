package invent

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// surveyRuns is how many transmissions a survey of a changed machine may run unless told otherwise: there are many of them.
const surveyRuns = 20_000

func spareWords() []builtins.Entry {
	return []builtins.Entry{{Name: "spare", Topic: "invention", Sentence: "Can it be left out? Leaves out every part, pad, cord and pose of a design, one at a time and then together, and tells what is missed, and by which number first. Loose slugs are left as they are.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "whose build only places; a machine that does what it is for"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers that must be read as before; None: those of the design"},
			{Name: "surveyed", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: what can go must not be missed anywhere a survey looks, either"},
			{Name: "runs", Type: "number", Default: fmt.Sprint(surveyRuns), Optional: true, Keyword: true, Doc: "of each survey: " + survey.RunsDoc},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDoc}},
		Returns: "a report with .spare (what can be left out by itself, by name), .together (what can be left out all at once), .needed (a dict from what is needed, as long as all else stays, to what it is missed by), .table (.what .name .spare .sending .read .rules), .map (the machine, with a mark on what can go by itself; None if that is nothing with a cell), .parts (of the machine, as a number)",
		Example: trial.PlainFunctions + "def more(f):\n    f.lamp((4, 3), name=\"lamp\")\n    return build(f)\n\nr = spare(design(\"line with a lamp\", more, send, read, [1, 5]))\nexpect_equal(r.spare, [\"lamp\"])\nexpect_equal(r.together, [\"lamp\"])\nprint(r)",
		See:     []string{"harden", "design", "survey"}, Call: spare}}
}

// leaving is a thing of a machine that may be left out.
type leaving struct {
	what, name string // "part", "pad", "cord" or "pose", and which
	of         []int  // the pieces that must be there for it to mean anything
	edit
	how   survey.Ending // how the machine comes through without it
	rules string        // under which rules of a survey it is missed, and by what; "" if under none, or that was not asked
}

// spare reports whether nothing misses it.
func (s *leaving) spare() bool { return s.how.Holds && s.rules == "" }

func spare(c *builtins.Call) (starlark.Value, error) {
	surveyed, runs := c.Bool("surveyed", false), c.Int("runs", surveyRuns, 1)
	x := begin(c)
	if x == nil {
		return nil, c.Err
	}
	defer x.Close()
	all := x.leavings()
	err := x.Each("spare", len(all), func(r *trial.Runner, i int) (err error) {
		all[i].how, err = x.try(r, all[i].edit)
		return err
	}, nil)
	var asks *asking
	if err == nil && surveyed {
		asks, err = x.ask(runs)
	}
	for i := range all {
		if s := &all[i]; err == nil && asks != nil && s.how.Holds {
			s.rules, err = asks.missed(s.edit)
		}
	}
	if err != nil {
		return nil, c.Wrap(err)
	}
	together, err := x.together(all, asks)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return x.spareReport(all, together, asks)
}

// leavings lists what may be left out: parts, pads that read something, cords, poses.
func (x *inventing) leavings() (all []leaving) {
	add := func(what, name string, e edit, of ...int) {
		all = append(all, leaving{what: what, name: name, of: of, edit: e})
	}
	for i := range x.layout.pieces {
		at := x.layout.pieces[i].spot()
		add("part", x.label(i), func(l *layout) {
			if k := l.find(at); k >= 0 {
				l.pieces[k].gone = true
			}
		}, i)
	}
	for i := range x.layout.pieces {
		p := &x.layout.pieces[i]
		pads := x.bench.Pads(p.was)
		if !p.Kind.Trait().Given {
			continue
		}
		offsets := make([]engine.Cell, len(pads))
		for k := range pads {
			offsets[k] = pads[k].Cell.Sub(p.cell)
		}
		for k := range pads {
			if given := p.Pads != nil || p.FarSet && pads[k].Far; given || !pads[k].Void { // a usual one at a cell where nothing can feed reads nothing
				add("pad", fmt.Sprintf("pad %v of %s", pads[k].Cell, x.label(i)), withoutPad(p.spot(), offsets, offsets[k]), i)
			}
		}
	}
	for k, c := range x.layout.cords {
		from, to := x.layout.pieces[c.from].spot(), x.layout.pieces[c.to].spot()
		add("cord", fmt.Sprintf("cord from %s to %s", x.label(c.from), x.label(c.to)), func(l *layout) {
			if k < len(l.cords) && l.pieces[l.cords[k].from].spot() == from && l.pieces[l.cords[k].to].spot() == to {
				l.cords[k].gone = true
			}
		}, c.from, c.to)
	}
	for i := range x.layout.pieces {
		p := &x.layout.pieces[i]
		at, bare := p.spot(), unposed(p.Part)
		if posed := p.Part; bare.On != posed.On || bare.Out != posed.Out || bare.Tokens != posed.Tokens || bare.Level != posed.Level || bare.State != posed.State {
			state := builtins.Text(builtins.StateValue(p.Kind, x.bench.State(p.was)))
			add("pose", fmt.Sprintf("pose of %s: %s", x.label(i), state), func(l *layout) {
				if k := l.find(at); k >= 0 {
					l.pieces[k].Part = unposed(l.pieces[k].Part)
				}
			}, i)
		}
	}
	return all
}

// unposed is a part without its pose.
func unposed(p engine.Part) engine.Part {
	p.On, p.Out, p.Tokens, p.Level, p.State = false, false, 0, 0, 0
	return p
}

// withoutPad takes one pad from a part that reads all of these.
func withoutPad(at spot, all []engine.Cell, pad engine.Cell) edit {
	return func(l *layout) {
		k := l.find(at)
		if k < 0 {
			return
		}
		p := &l.pieces[k]
		if p.Pads == nil {
			p.Pads, p.FarSet, p.Far = slices.Clone(all), false, 0
		}
		pads := make([]engine.Cell, 0, len(p.Pads)) // not nil: no pads at all is something else than the usual ones
		for _, off := range p.Pads {
			if off != pad {
				pads = append(pads, off)
			}
		}
		p.Pads = pads
	}
}

// joined are edits one after the other.
func joined(edits ...edit) edit {
	return func(l *layout) {
		for _, e := range edits {
			e(l)
		}
	}
}

// together leaves out one thing after the other, as long as nothing misses what is left out by then, until nothing more can go.
func (x *inventing) together(all []leaving, asks *asking) (out []int, err error) {
	without, goes := func(*layout) {}, map[int]bool{}
	for more := true; more; {
		more = false
		for i := range all {
			s := &all[i]
			moot := slices.ContainsFunc(s.of, func(k int) bool { return goes[k] }) // what it is of is out already
			if moot || slices.Contains(out, i) {
				continue
			}
			next := joined(without, s.edit)
			how, err := x.try(x.One(), next)
			if err == nil && how.Holds && asks != nil {
				var rules string
				rules, err = asks.missed(next)
				how.Holds = rules == ""
			}
			if err != nil {
				return nil, err
			}
			if !how.Holds {
				continue
			}
			out, without, more = append(out, i), next, true
			if s.what == "part" {
				goes[s.of[0]] = true
			}
		}
	}
	slices.Sort(out)
	// A pad or a pose of a part that went later is not said beside it.
	return slices.DeleteFunc(out, func(i int) bool {
		return all[i].what != "part" && slices.ContainsFunc(all[i].of, func(k int) bool { return goes[k] })
	}), nil
}

// asking asks a survey whether something is missed.
type asking struct {
	*inventing
	runs  int64
	whole *survey.Finding
}

// ask surveys the machine as it is.
func (x *inventing) ask(runs int64) (*asking, error) {
	a := &asking{inventing: x, runs: runs}
	var err error
	a.whole, err = a.survey(editedDesign(x.Design, func(*layout) {}))
	return a, err
}

// survey surveys an edited design.
func (a *asking) survey(d *trial.Design) (*survey.Finding, error) {
	w, settings := survey.StartSurvey(a.C, d, a.size, a.numbers, survey.UsualTravel, false)
	defer w.Close()
	return w.Whole(settings, a.runs, trial.Script{Why: "the machine was edited"})
}

// missed says under which rules the machine edited does not do what it does as it is, and by what that shows; "" under none that were tried.
func (a *asking) missed(e edit) (string, error) { return a.missedBy(editedDesign(a.Design, e)) }

func (a *asking) missedBy(d *trial.Design) (string, error) {
	f, err := a.survey(d)
	if err != nil {
		return "", err
	}
	return a.whole.Misses(f), nil
}

func (x *inventing) spareReport(all []leaving, together []int, asks *asking) (starlark.Value, error) {
	t := &builtins.Table{Head: []string{"what", "name", "spare", "sending", "read", "rules"}}
	short := &builtins.Table{Head: []string{"without", "misses at", "read"}}
	var names, joint []starlark.Value
	var cells []engine.Cell
	needed := starlark.NewDict(len(all))
	count := map[string][2]int{}            // how many of which there are, and can go
	called := func(i int) starlark.String { // in the list of what is needed
		if slices.Contains(together, i) {
			return starlark.String(all[i].name + withOthers)
		}
		return starlark.String(all[i].name)
	}
	for i := range all {
		s := &all[i]
		row := []starlark.Value{starlark.String(s.what), starlark.String(s.name), starlark.Bool(s.spare()), orNone(s.how.Sent), orNone(s.how.Says), orNone(s.rules)}
		t.Rows = append(t.Rows, row)
		n := count[s.what]
		n[0]++
		switch p := &x.layout.pieces[s.of[0]]; {
		case s.spare():
			n[1]++
			names = append(names, starlark.String(s.name))
			if s.what == "part" && p.shelf == 0 {
				cells = append(cells, p.cell)
			}
		case s.rules != "":
			needed.SetKey(starlark.String(s.name), starlark.String(s.rules))
			short.Rows = append(short.Rows, []starlark.Value{called(i), starlark.None, starlark.String("under " + s.rules)})
		default:
			needed.SetKey(starlark.String(s.name), starlark.String(strings.TrimPrefix(s.how.Sent+" reads "+s.how.Says, " reads ")))
			short.Rows = append(short.Rows, []starlark.Value{called(i), orNone(s.how.Sent), starlark.String(s.how.Says)})
		}
		count[s.what] = n
	}
	for _, i := range together {
		joint = append(joint, starlark.String(all[i].name))
	}
	text := x.spareText(count, names, joint, short, asks)
	drawing := starlark.Value(starlark.None)
	if len(cells) > 0 {
		env := *x.C.Env
		env.Bench = x.bench
		picture, v, err := picture.Marked(&env, cells, "can be left out by itself")
		if err != nil {
			return nil, err
		}
		drawing, text = v, text+"\n\n"+picture
	}
	d := starlark.StringDict{"spare": starlark.NewList(names), "together": starlark.NewList(joint), "needed": needed, "table": t, "map": drawing, "parts": starlark.MakeInt(len(x.layout.pieces))}
	hold.FreezeAll(d)
	return &builtins.Report{Name: "spare", Text: text, Fields: d}, nil
}

// withOthers marks what is needed by itself, and goes together with others.
const withOthers = " *"

func orNone(s string) starlark.Value {
	if s == "" {
		return starlark.None
	}
	return starlark.String(s)
}

// spareText says what can go.
func (x *inventing) spareText(count map[string][2]int, names, joint []starlark.Value, short *builtins.Table, asks *asking) string {
	var b strings.Builder
	fill := func(text string) { b.WriteString(say.Fill(text, "", "", 80) + "\n") }
	fill(fmt.Sprintf("spare in %s: %s", say.OneLine(x.Name), x.sent()))
	if asks != nil {
		how := "in every case of a survey"
		if !asks.whole.Exhaustive() {
			how = fmt.Sprintf("in the cases that surveys of %s drew by lot", say.Count(int(asks.runs), "transmission"))
		}
		fill("what can go is not missed " + how + ", either: of rows in which all cases hold all hold without it, and no other row holds in fewer")
	}
	if x.asked != 0 {
		fill("build asks for the rules: under others it may build another machine")
	}
	var of []string
	for _, what := range []string{"part", "pad", "cord", "pose"} {
		if n := count[what]; n[0] > 0 {
			of = append(of, fmt.Sprintf("%d of %s", n[1], say.Count(n[0], what)))
		}
	}
	list := func(vs []starlark.Value) string {
		var texts []string
		for _, v := range vs {
			texts = append(texts, builtins.Text(v))
		}
		return strings.Join(texts, "; ")
	}
	fill("can be left out, each by itself: " + strings.Join(of, ", "))
	if len(names) > 0 {
		b.WriteString(say.Fill(list(names), "  ", "  ", 80) + "\n")
	}
	if len(joint) > 0 {
		fill("can be left out all together, and then no other part, pad, cord or pose:")
		b.WriteString(say.Fill(list(joint), "  ", "  ", 80) + "\n")
	}
	if len(short.Rows) > 0 {
		list := short.String()
		b.WriteString("needed, as long as all else stays:\n" + list + "\n")
		if strings.Contains(list, withOthers) {
			fill("* can be left out with the others above, all together")
		}
	}
	if text := x.left(); text != "" {
		fill(text)
	}
	return strings.TrimSuffix(b.String(), "\n")
}
