package survey

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func surveyWords() []builtins.Entry {
	return []builtins.Entry{{Name: "survey", Topic: "experiments", Sentence: "Is a design right everywhere, again and again? Tries it in all 24 orientations and their mirror images, under all 720 neighbour orders, each the same in all cells, news fifo and lifo, reads turn and step, early and late fall, and travel of 1 to 3 ticks; with mixed=, under orders of each cell's own, too; each case sends every number to one machine, up to 8 of them twice in a row, and the first again at the end. A design with slices is tried as a chain of 4, too. Equivalent cases run once.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "what to try"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers to send, smallest first; None: those of the design"},
			{Name: "travel", Type: "a list of numbers", Unit: "ticks", Default: "[1, 2, 3]", Optional: true, Keyword: true, Doc: "the travel times to try"},
			{Name: "rules", Type: "a dict or rules", Default: "None", Optional: true, Keyword: true, Doc: "what to try of order, news, reads, fall and travel: a value or a list of each, \"mixed 7\" among the orders, and \"mixed\" for any such; what is not named is tried as ever; rules(): those of the bench alone; what is left out is named in the report"},
			{Name: "mixed", Type: "number", Default: "0", Optional: true, Keyword: true, Doc: mixedDoc},
			{Name: "runs", Type: "number", Default: "500000", Optional: true, Keyword: true, Doc: RunsDoc},
			{Name: "path", Type: "string", Default: "None", Optional: true, Keyword: true, Doc: "where to write the smallest counterexample, a script that reproduces it, such as \"why.star\"; nothing is written if there is none"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDoc},
			{Name: "replace", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: path may replace a file that is there already and was not written in this session"},
			{Name: "ticks", Type: "number", Unit: "ticks", Default: fmt.Sprint(usualLimits.Ticks), Optional: true, Keyword: true, Doc: "how long after a sending all must be quiet; a case that is not is stopped, which is neither right nor wrong"},
			{Name: "turns", Type: "number", Unit: "turns", Default: fmt.Sprint(usualLimits.Turns), Optional: true, Keyword: true, Doc: "likewise, how many turns a sending may take"}},
		Returns: "a survey: print it; .holds (all that was tried reads right), .everywhere (and nothing was left out), .table (what holds, by rules), .runs (transmissions run), .cases (transmissions that they cover), .exhaustive, .n .got (the smallest number that fails, and what was read), .sent (the numbers sent to show it), .sending (which sending of its case fails), .flip (what makes it right), .script (reproduces it), .parts (the call at its end that shows where it parts from the nearest case that reads right; \"\" if there is none)",
		Example: trial.PlainLine + "s = survey(line)\nexpect(s.everywhere)\nprint(s)",
		See:     []string{"sweep", "design", "falls", "differ"}, Call: survey}}
}

// RunsDoc is what the parameter runs of a survey means, here and wherever a survey is made.
const RunsDoc = "most transmissions to run, in whole cases, yet at least one case for each row of the table; what is sent to plan, to check and to shorten a counterexample comes on top; if all cases need more, orientations and orders are drawn by lot from the seed, and a bound is stated"

// UsualTravel are the travel times that a survey goes through unless told otherwise.
var UsualTravel = []starlark.Value{starlark.MakeInt(1), starlark.MakeInt(2), starlark.MakeInt(3)}

// chainOf is how many slices the chain has as which a design with slices is surveyed.
const chainOf = 4

func survey(c *builtins.Call) (starlark.Value, error) {
	m := trial.DesignArg(c, "design")
	most := c.Int("runs", 500_000, 1)
	path, over := c.Str("path"), c.Over("replace")
	c.MayWrite(path, over)
	size := 1
	if c.Err == nil {
		size = trial.SizeOf(c, m, "size", 0)
	}
	limit := limits{c.Int("ticks", usualLimits.Ticks, 1), c.Int("turns", usualLimits.Turns, 1)}
	only := worldArg(c).usual()
	if c.Err != nil {
		return nil, c.Err
	}
	numbers := m.Values(c, "over", size)
	if c.Err != nil {
		return nil, c.Err
	}
	own := numbers
	if c.Has("over") {
		own, _ = m.NumbersOf(c.Thread, size) // a design that cannot name its own leaves none out
		own = trial.Once(c.Env, own)
	}
	w, settings := startSurvey(c, m, size, numbers, only)
	if c.Err != nil {
		return nil, c.Err
	}
	defer w.Close()
	w.limits = limit
	if err := w.leftOut(own, only); err != nil {
		return nil, err
	}
	sh := c.Env.Portion
	preamble := trial.Preamble(c.Env, m) // before the fence: it shows the session's names as they are
	var code trial.Script
	if sh.Count > 0 {
		code = pinnedAll(c.Env, m)
	}
	defer trial.FenceIn(c.Env, m.Functions()...)()
	if sh.Count > 0 {
		if err := w.plan(settings, most, preamble); err != nil {
			return nil, surveyError(c, err)
		}
		return surveyPortion(c, w, sh, code)
	}
	f, err := w.Whole(settings, most, preamble)
	if err != nil {
		return nil, surveyError(c, err)
	}
	if path != "" && f.script != "" {
		if err := c.ToFile(path, over, "the smallest counterexample", stringWriter(f.script)); err != nil {
			return nil, err
		}
	}
	return f.report(), nil
}

// pinnedAll is what a survey of a design runs, written out: the functions, and the slice of the chain it is tried as.
func pinnedAll(e *builtins.Env, d *trial.Design) trial.Script {
	code := trial.Pinned(e, d)
	if d.Slice == nil || d.Sized || code.Why != "" {
		return code
	}
	chain := *d
	chain.Chained = true
	slice := trial.Pinned(e, &chain)
	return trial.Script{Text: code.Text + slice.Text, Why: slice.Why}
}

// missing are those of all that are not among some.
func (w *Survey) missing(all, some []starlark.Value) (vs []starlark.Value, err error) {
	known := starlark.NewSet(len(some))
	var odd []starlark.Value // those that can be in no set
	n := 0
	for _, v := range some {
		if err := w.Env.StoppedAt(n); err != nil {
			return nil, err
		}
		n++
		if known.Insert(v) != nil {
			odd = append(odd, v)
		}
	}
	for _, v := range all {
		is, err := known.Has(v)
		for i := 0; err != nil && !is && i < len(odd); i++ {
			if stop := w.Env.StoppedAt(n); stop != nil {
				return nil, stop
			}
			n++
			same, wrong := starlark.Equal(v, odd[i])
			is = same && wrong == nil
		}
		if !is {
			vs = append(vs, v)
		}
		if stop := w.Env.StoppedAt(n); stop != nil {
			return nil, stop
		}
		n++
	}
	return vs, nil
}

// leftOut notes what of the words of survey is not tried: own numbers of the design, or usual times of travel.
func (w *Survey) leftOut(own []starlark.Value, only world) error {
	vs, err := w.missing(own, w.numbers)
	if err != nil {
		return err
	}
	if len(vs) > 0 {
		w.left = append(w.left, say.Count(len(vs), "other "+say.Values(trial.Nouns(vs)))+" of the design")
	}
	if vs, err = w.missing(UsualTravel, only.travel); err != nil {
		return err
	}
	if len(vs) > 0 {
		names := make([]string, len(vs))
		for i, v := range vs {
			names[i] = v.String()
		}
		w.left = append(w.left, "travel "+strings.Join(names, ", "))
	}
	w.left = append(w.left, only.leftOut()...)
	w.ownOrders(only)
	return nil
}

// ownOrders notes that the orders of the bench are not tried, if they are mixed ones.
func (w *Survey) ownOrders(only world) {
	if r := w.Env.Bench.Rules(); r.Mixed && !slices.Contains(only.seeds, r.Seed) {
		w.left = append(w.left, fmt.Sprintf("the neighbour orders of the bench, %q", builtins.Rules{Rules: r}.OrderText()))
	}
}

// StartSurvey prepares a survey, and the rules it goes through: all of them, with some times of travel; with own, where the bench has mixed
// orders, cases under those as well. Close it in the end.
func StartSurvey(c *builtins.Call, m *trial.Design, size int, numbers, travel []starlark.Value, own bool) (*Survey, []trial.Setting) {
	only := world{travel: travel}.usual()
	w, settings := startSurvey(c, m, size, numbers, only)
	if r := c.Env.Rules(); own && r.Mixed {
		w.seeds, w.mixed, w.share = []uint64{r.Seed}, mixedUsual, true
		return w, settings
	}
	w.ownOrders(only)
	return w, settings
}

func startSurvey(c *builtins.Call, m *trial.Design, size int, numbers []starlark.Value, only world) (*Survey, []trial.Setting) {
	numbers = slices.Clone(numbers)
	if sorted, err := builtins.SortStable(c.Env, numbers, builtins.CompareValues); c.Wrap(err) == nil {
		numbers = sorted
	}
	base := trial.PlainSetting(c.Env.Rules())
	base.Late = c.Env.Late
	base.Rules.Mixed, base.Rules.Seed = false, 0
	var settings []trial.Setting
	for _, news := range only.news {
		for _, reads := range only.reads {
			for _, late := range only.late {
				for _, ticks := range only.travel {
					s := base
					if err := s.Set("travel", ticks); err != nil {
						c.Fail("for parameter travel: %w", err)
					}
					s.Rules.News, s.Rules.Reads, s.Late = news, reads, late
					settings = append(settings, s)
					if c.Wrap(c.Env.StoppedAt(len(settings))); c.Err != nil {
						break
					}
				}
			}
		}
	}
	return &Survey{Crew: trial.NewCrew(c.Env), m: m, size: size, numbers: numbers, base: only.base(base), orders: only.orders, mixed: only.mixed, seeds: only.seeds, onlyMixed: only.onlyMixed(), limits: usualLimits}, settings
}

// Whole makes the survey. Should a case ask for something that no case had asked for as it was planned, it is planned again.
func (w *Survey) Whole(settings []trial.Setting, most int64, preamble trial.Script) (*Finding, error) {
	for {
		if err := w.plan(settings, most, preamble); err != nil {
			return nil, err
		}
		units := w.units(builtins.Portion{Index: 1, Count: 1})
		if err := w.Env.Stopped(); err != nil {
			return nil, err
		}
		results, err := w.run(units, nil)
		if err != nil {
			return nil, err
		}
		known := w.asked
		for _, r := range results {
			w.asked |= r.Asked
		}
		if w.asked == known {
			f := w.Plan.finish(results)
			f.prove(func(script string) string { return trial.Shows(w.Env, w.Env.Context(), script) })
			return f, w.Env.Stopped()
		}
	}
}

func surveyError(c *builtins.Call, err error) error {
	var stopped *engine.Stopped
	if errors.As(err, &stopped) {
		return c.Wrap(&engine.Stopped{At: c.Env.Bench.Now(), Err: stopped.Err})
	}
	return c.Wrap(err)
}

// Survey is a survey under way.
type Survey struct {
	*trial.Crew
	m       *trial.Design
	size    int
	numbers []starlark.Value
	base    trial.Setting
	orders  [][6]engine.Dir // that alone are tried; nil: all
	mixed   int             // cases of each row under mixed orders
	share   bool            // they are fewer if they would be more than half of the runs allowed
	seeds   []uint64        // of those that alone are tried; nil: any
	limits  limits
	left    []string // what of the words of survey is not tried, as far as the call says so
	Plan    *surveyPlan

	forms     []surveyForm   // as what the design is tried
	untried   []string       // and as what not, and why
	onlyMixed bool           // no order is tried that is the same in all cells
	asked     builtins.Asked // what build, send and read have asked for so far
	word      string         // one of their words that looks at all there is; "": none is known
	apart     string         // why nothing follows from anything else

	lock sync.Mutex
	done map[int]surveyResult // of the scouts
}

// surveyForm is a machine of a design: as build places it, or a chain of its slices.
type surveyForm struct {
	m            *trial.Design
	size, slices int
}

func (w *Survey) form(slices int) surveyForm {
	for _, f := range w.forms {
		if f.slices == slices {
			return f
		}
	}
	panic("builtins: no such machine in a survey")
}

// keep keeps a result for when its turn comes.
func (w *Survey) keep(r surveyResult) {
	w.lock.Lock()
	defer w.lock.Unlock()
	w.done[r.Unit] = r
}

// run does units, on all workers. record, if not nil, is told of each, in order.
func (w *Survey) run(units []int, record func(*surveyResult) error) ([]*surveyResult, error) {
	results := make([]*surveyResult, len(units))
	err := w.Each("survey", len(units), func(r *trial.Runner, i int) error {
		w.lock.Lock()
		kept, ok := w.done[units[i]]
		w.lock.Unlock()
		if ok {
			results[i] = &kept
			return nil
		}
		result, err := w.unit(r, units[i])
		results[i] = &result
		return err
	}, func(i int) (bool, error) {
		if record == nil {
			return true, nil
		}
		return true, record(results[i])
	})
	return results, err
}

// surveyResult is what one unit found.
type surveyResult struct {
	Unit   int            `json:"unit"`
	Runs   int            `json:"runs"`             // sendings of the case
	Fail   int            `json:"fail"`             // which sending failed or was stopped; -1: none
	Kind   string         `json:"kind,omitempty"`   // how
	Got    string         `json:"got,omitempty"`    // what was read, or what happened
	Asked  builtins.Asked `json:"asked,omitempty"`  // what the functions asked for
	Unsure int            `json:"unsure,omitempty"` // sendings of which nobody can tell whether they arrived

	Short     []int    `json:"short,omitempty"`  // a short sequence that shows it: numbers, counted from 0
	ShortKind string   `json:"how,omitempty"`    // how that ends
	ShortGot  string   `json:"read,omitempty"`   // and what is read then
	Looked    []string `json:"looked,omitempty"` // unmoved: the cells read looks at, as a script writes them
}

// unit is one case, and what it takes to show it if it fails.
func (w *Survey) unit(r *trial.Runner, u int) (surveyResult, error) {
	out := surveyResult{Unit: u, Fail: -1}
	s, form := w.Plan.setting(u), w.form(w.Plan.row(u).Slices)
	t, err := r.Rigged(form.m, s, form.size)
	if err != nil {
		if r.Env.Stopped() != nil {
			return out, err
		}
		// Where it stands as it was meant to it can be built; here it cannot.
		out.Fail, out.Kind, out.Got = 0, unbuilt, say.Clean(builtins.Message(err))
		out.Short, out.ShortKind, out.ShortGot = []int{0}, out.Kind, out.Got
		return out, nil
	}
	if err := leavesRules(t); err != nil {
		return out, err
	}
	t.Told = 0
	o, err := w.sequence(t, w.Plan.Sendings, false)
	if err == nil {
		err = leavesRules(t)
	}
	if err != nil {
		return out, err
	}
	out.Runs, out.Fail, out.Kind, out.Got, out.Unsure = o.runs, o.at, o.kind, o.got, o.unsure
	if o.at >= 0 && o.kind != stopped {
		short, last, err := w.shorten(t, w.Plan.Sendings, o.at)
		if err != nil {
			return out, err
		}
		out.Short, out.ShortKind, out.ShortGot = short, last.kind, last.got
	}
	out.Asked = t.Asked | t.Told
	return out, nil
}

// leavesRules reports, as an error, a design that changes under what it is tried.
func leavesRules(t *trial.Rigged) error {
	got, want := t.Bench.Rules(), t.Setting.Rules
	if got.Order != want.Order || got.Mixed != want.Mixed || got.Seed != want.Seed || got.News != want.News || got.Reads != want.Reads || got.Travel != want.Travel || t.Env.Late != t.Setting.Late {
		return fmt.Errorf("build, send or read sets order, news, reads or travel, or how pulses fall, so that it cannot be tried under others; leave them to the bench")
	}
	return nil
}
