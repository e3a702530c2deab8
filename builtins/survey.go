package builtins

import (
	"errors"
	"fmt"
	"slices"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func surveyWords() []Entry {
	return []Entry{{Name: "survey", Topic: "experiments", Sentence: "Is a design right everywhere? Tries every number in all 24 orientations and their mirror images, all 720 neighbour orders, news fifo and lifo, reads turn and step, early and late fall, several travel times; equivalent cases are run once.",
		Params: []Param{
			{Name: "design", Type: "a design", Doc: "what to try"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers to send, smallest first; None: those of the design"},
			{Name: "travel", Type: "a list of numbers", Unit: "ticks", Default: "[1, 2, 3]", Optional: true, Keyword: true, Doc: "the travel times to try"},
			{Name: "runs", Type: "number", Default: "500000", Optional: true, Keyword: true, Doc: "most transmissions to run; if all cases need more, orientations and orders are drawn by lot from the seed, and a bound is stated"},
			{Name: "path", Type: "string", Default: "None", Optional: true, Keyword: true, Doc: "where to write the smallest counterexample, a script that reproduces it, such as \"why.star\"; nothing is written if all holds"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: sizeDoc},
			{Name: "replace", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: path may replace a file that is there already and was not written in this session"}},
		Returns: "a survey: print it; .holds, .table (what holds, by rules), .runs, .cases (how many cases these runs prove), .exhaustive, .n .got (the smallest number that fails, and what was read), .flip (what makes it right), .script (reproduces it)",
		Example: plainLine + "s = survey(line, travel=[2])\nexpect(s.holds and s.exhaustive)\nprint(s)",
		See:     []string{"sweep", "design", "falls"}, call: survey}}
}

// Portion says which part of each survey to do: those units whose number leaves Index-1 when divided by Count.
type Portion struct {
	Index int `json:"index"`
	Count int `json:"count"`
}

// usualTravel are the travel times that a survey goes through unless told otherwise.
var usualTravel = []starlark.Value{starlark.MakeInt(1), starlark.MakeInt(2), starlark.MakeInt(3)}

// Limits of one transmission in a survey: past them it counts as wrong, since it never ends.
const (
	surveyTurns = 200_000
	surveyTicks = 20_000
)

func survey(c *Call) (starlark.Value, error) {
	m := c.machine(0)
	most := c.Int(3, 500_000, 1)
	path, over := c.Str(4), c.over(6)
	c.mayWrite(path, over)
	size := 1
	if c.Err == nil {
		size = c.sizeOf(m, 5, 0)
	}
	travel := usualTravel
	if c.Has(2) {
		travel = c.list(2)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	var numbers []starlark.Value
	if c.Has(1) {
		as, _ := c.axes(1, "n")
		if len(as) > 0 {
			numbers = as[0].values
		}
	} else {
		var err error
		if numbers, err = m.numbersOf(c.Thread, size); err != nil {
			return nil, c.Wrap(err)
		}
	}
	if c.Err == nil && len(numbers) == 0 {
		c.Fail("the design %s names no numbers to send; give some with over=", m.name)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	w, settings := c.surveying(m, size, numbers, travel)
	if c.Err != nil {
		return nil, c.Err
	}
	defer w.close()
	sh := c.Env.Portion
	preamble := c.Env.preamble(m) // before the fence: it shows the session's names as they are
	var code script
	if sh.Count > 0 {
		code = c.Env.pinned(m)
	}
	defer c.Env.fence(m.build, m.send, m.read)()
	if sh.Count > 0 {
		if err := w.plan(settings, most, preamble); err != nil {
			return nil, c.surveyError(err)
		}
		return c.surveyPortion(w, sh, code)
	}
	f, err := w.whole(settings, most, preamble)
	if err != nil {
		return nil, c.surveyError(err)
	}
	if path != "" && f.script != "" {
		if err := c.toFile(path, over, "the smallest counterexample", stringWriter(f.script)); err != nil {
			return nil, err
		}
	}
	return f.report(), nil
}

// surveying prepares a survey, and the rules it goes through. close it in the end.
func (c *Call) surveying(m *machine, size int, numbers, travel []starlark.Value) (*surveying, []Setting) {
	numbers = slices.Clone(numbers)
	slices.SortStableFunc(numbers, compareValues)
	base := plainSetting(c.Env.rules())
	base.Late = c.Env.Late
	var settings []Setting
	for _, news := range []engine.News{engine.FIFO, engine.LIFO} {
		for _, reads := range []engine.Reads{engine.ByTurn, engine.ByStep} {
			for _, late := range []bool{false, true} {
				for _, ticks := range travel {
					s := base
					if err := s.set("travel", ticks); err != nil {
						c.Fail("for parameter travel: %w", err)
					}
					s.Rules.News, s.Rules.Reads, s.Late = news, reads, late
					settings = append(settings, s)
				}
			}
		}
	}
	w := &surveying{crew: c.Env.crew(), m: m, size: size, numbers: numbers, base: base}
	w.budget = engine.Budget{Turns: surveyTurns, Ticks: surveyTicks}
	return w, settings
}

// whole makes the survey.
func (w *surveying) whole(settings []Setting, most int64, preamble script) (*finding, error) {
	if err := w.plan(settings, most, preamble); err != nil {
		return nil, err
	}
	results, err := w.run(w.units(Portion{1, 1}), nil)
	if err != nil {
		return nil, err
	}
	f := w.Plan.finish(results)
	f.prove(func(script string) string { return w.env.shows(w.env.ctx(), script) })
	return f, w.env.stopped()
}

func (c *Call) surveyError(err error) error {
	var stopped *engine.Stopped
	if errors.As(err, &stopped) {
		return c.Wrap(&engine.Stopped{At: c.Env.Bench.Now(), Err: stopped.Err})
	}
	return c.Wrap(err)
}

// surveying is a survey under way.
type surveying struct {
	*crew
	m       *machine
	size    int
	numbers []starlark.Value
	base    Setting
	Plan    *surveyPlan
}

// run does units, on all workers. record, if not nil, is told of each, in order.
func (w *surveying) run(units []int, record func(surveyResult) error) ([]surveyResult, error) {
	results := make([]surveyResult, len(units))
	err := w.each("survey", len(units), func(r *runner, i int) error {
		var err error
		results[i], err = w.unit(r, units[i])
		return err
	}, func(i int) (bool, error) {
		if record == nil {
			return true, nil
		}
		return true, record(results[i])
	})
	return results, err
}

// unit sends all numbers under one setting, in one orientation, with one neighbour order, until one fails.
func (w *surveying) unit(r *runner, u int) (surveyResult, error) {
	out := surveyResult{Unit: u, Fail: -1}
	s := w.Plan.setting(u)
	t, err := r.rigged(w.m, s, w.size)
	if err != nil {
		if r.env.stopped() != nil {
			return out, err
		}
		// Where it stands as it was meant to it can be built; here it cannot.
		out.Fail, out.Got = 0, "build: "+clean(message(err))
		return out, nil
	}
	if got, want := r.env.Bench.Rules(), s.Rules; got.Order != want.Order || got.News != want.News || got.Reads != want.Reads || got.Travel != want.Travel {
		return out, fmt.Errorf("build sets order, news, reads or travel, so that it cannot be tried under others; leave them to the bench")
	}
	for i, n := range w.numbers {
		out.Runs++
		got, fault, err := t.once(0, n)
		if err != nil {
			return out, err
		}
		if same, err := starlark.Equal(got, n); err != nil || !same || fault != "" {
			out.Fail, out.Got = i, fault
			if fault == "" {
				out.Got = show(got)
			}
			break
		}
	}
	return out, nil
}
