package lag

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

func fitWords() []builtins.Entry {
	return []builtins.Entry{{Name: "lag_fit", Topic: "experiments", Sentence: "Fits weights to timings that you took in your own world: how long rigs took there whose counts are known. It says how sure each weight is, and which counts the timings cannot tell apart.",
		Params: []builtins.Param{
			{Name: "timings", Type: "a table or a list of dicts", Doc: "a row for each rig timed: its counts by their names (dict(cost(since=c).counts, ms=12.5)), and the time; of read_table, say"},
			{Name: "time", Type: "string", Default: "\"ms\"", Optional: true, Doc: "the column that holds the time, in any unit: the weights come in the same"},
			{Name: "counts", Type: "a list of strings", Default: "None", Optional: true, Keyword: true, Doc: "the counts that are to have a weight; None: all columns that are counts and not always 0"},
			{Name: "base", Type: "bool", Default: "True", Optional: true, Keyword: true, Doc: "fit a fixed time, too, that every row takes whatever it counts"}},
		Returns: "a report with .weights (a dict, as compare and cost take it) .errors (standard errors; None of a weight that was kept from going below 0) .low .high (between these 19 times in 20, if errors are independent and alike; None if the timings call for weights below 0 by more than they err) .base .base_error .spread (of a timing about the fit) .misfits (a number a row) .unsure (counts whose weight may be 0) .near (counts that nearly rise together with others) .bounded (counts whose weight was kept from going below 0) .timings .spare",
		Example: "rows = [dict(levels=100, news=20, ms=7.1), dict(levels=20, news=100, ms=12.0), dict(levels=200, news=200, ms=29.8), dict(levels=0, news=0, ms=1.1), dict(levels=50, news=10, ms=4.0)]\nr = lag_fit(rows)\nexpect(0.04 < r.weights[\"levels\"] and r.weights[\"levels\"] < 0.06)\nprint(r)",
		See:     []string{"compare", "cost", "read_table"}, Call: lagFit}}
}

// fitName is what the report of a fit is called.
const fitName = "lag fit"

// mostTimings keeps a fit within seconds.
const mostTimings = 1000

// timed is what a user measured.
type timed struct {
	which []int        // numbers of the counts, a column each
	x     [][]*big.Rat // by row: 1 if there is a base, then the counts
	y     []*big.Rat
	base  bool
	unit  string // the name of the time's column
}

// names are those of the columns.
func (t *timed) names() (all []string) {
	if t.base {
		all = append(all, "the base")
	}
	for _, i := range t.which {
		all = append(all, counts[i].name)
	}
	return all
}

func lagFit(c *builtins.Call) (starlark.Value, error) {
	t := &timed{unit: "ms", base: c.Bool("base", true)}
	if c.Has("time") {
		t.unit = c.Str("time")
	}
	rows := rowsOf(c, "timings")
	if c.Err != nil {
		return nil, c.Err
	}
	if t.columns(c, rows); c.Err != nil {
		return nil, c.Err
	}
	if t.read(c, rows); c.Err != nil {
		return nil, c.Err
	}
	names := t.names()
	if len(t.y) <= len(names) {
		return nil, c.Fail("%s are to be found (%s): that takes %d timings or more, got %d; time more rigs, or name fewer counts with counts=",
			say.Count(len(names), "number"), strings.Join(names, ", "), len(names)+1, len(t.y))
	}
	plain, dependent, shares, err := leastSquares(t.x, t.y, t.base, c.Env.Stopped)
	if err != nil {
		return nil, c.Wrap(err)
	}
	if dependent >= 0 {
		return nil, c.Fail("%s; time rigs that differ in this, or name fewer counts with counts=%s", t.depends(dependent, shares), map[bool]string{true: ", or give base=False"}[t.base])
	}
	best, kept, err := bounded(plain, t.x, t.y, t.base, c.Env.Stopped)
	if err != nil {
		return nil, c.Wrap(err)
	}
	if best == nil {
		return nil, c.Fail("no weights of at least 0 come near these timings: the more is counted, the less time passes in them")
	}
	return t.report(plain, best, kept), nil
}

// rowsOf reads a table or a list of dicts.
func rowsOf(c *builtins.Call, param string) (rows []map[string]starlark.Value) {
	switch v := c.Value(param).(type) {
	case *builtins.Table:
		for _, r := range v.Rows {
			row := map[string]starlark.Value{}
			for i, h := range v.Head {
				if i < len(r) {
					row[h] = r[i]
				}
			}
			rows = append(rows, row)
		}
	default:
		for _, v := range c.List(param) {
			d, ok := v.(*starlark.Dict)
			if !ok {
				c.Bad(param, builtins.Show(v), "")
				return nil
			}
			row := map[string]starlark.Value{}
			for _, kv := range d.Items() {
				row[builtins.Text(kv[0])] = kv[1]
			}
			rows = append(rows, row)
		}
	}
	switch {
	case len(rows) == 0:
		c.Bad(param, "no rows", "")
	case len(rows) > mostTimings:
		c.Bad(param, say.Count(len(rows), "row"), fmt.Sprintf("at most %d", mostTimings))
	}
	return rows
}

// columns finds the counts that are to have a weight.
func (t *timed) columns(c *builtins.Call, rows []map[string]starlark.Value) {
	if c.Has("counts") {
		for _, v := range c.List("counts") {
			name := builtins.Text(v)
			i := numbered(name)
			if i < 0 || slices.Contains(t.which, i) {
				c.Fail("for parameter counts: no other count %s, want some of %s%s", builtins.Show(v), strings.Join(names(), " "), say.DidYouMean(name, names()))
				return
			}
			t.which = append(t.which, i)
		}
	} else {
		for i, count := range counts {
			if slices.ContainsFunc(rows, func(r map[string]starlark.Value) bool {
				v := r[count.name]
				n := exact(v)
				return v != nil && v != starlark.None && (n == nil || n.Sign() != 0)
			}) {
				t.which = append(t.which, i)
			}
		}
		var heads []string
		for h := range rows[0] {
			if h != t.unit && numbered(h) < 0 && say.Nearest(h, names()) != "" {
				heads = append(heads, h)
			}
		}
		if slices.Sort(heads); len(heads) > 0 {
			c.Fail("no count %q, want some of %s%s; or say with counts= which are meant", heads[0], strings.Join(names(), " "), say.DidYouMean(heads[0], names()))
			return
		}
	}
	if len(t.which) == 0 {
		c.Fail("the timings hold no count that is not 0, want columns named as counts are: %s", strings.Join(names(), " "))
	}
}

// read reads the numbers of all rows.
func (t *timed) read(c *builtins.Call, rows []map[string]starlark.Value) {
	for n, row := range rows {
		number := func(name string) *big.Rat {
			v := row[name]
			if v == nil {
				c.Fail("row %d has no %s, want a number of at least 0", n+1, say.OneLine(name))
				return nil
			}
			r := exact(v)
			if r == nil || r.Sign() < 0 {
				c.Fail("row %d: %s is %s, want a number of at least 0", n+1, say.OneLine(name), builtins.Show(v))
			}
			return r
		}
		var x []*big.Rat
		if t.base {
			x = append(x, big.NewRat(1, 1))
		}
		for _, i := range t.which {
			x = append(x, number(counts[i].name))
		}
		t.x, t.y = append(t.x, x), append(t.y, number(t.unit))
		if c.Err != nil {
			return
		}
	}
}

// depends says which column cannot be told from others.
func (t *timed) depends(column int, shares []*big.Rat) string {
	names := t.names()
	var of []string
	for i, s := range shares {
		if s.Sign() != 0 {
			of = append(of, names[i])
		}
	}
	switch {
	case len(of) == 0:
		return names[column] + " is 0 in all timings, so that nothing can be said of its weight"
	case len(of) == 1 && of[0] == "the base":
		return fmt.Sprintf("%s is %s in all timings, so that it cannot be told from the base", names[column], Number(shares[0]))
	case len(of) == 1:
		i := slices.Index(names, of[0])
		return fmt.Sprintf("%s and %s cannot be told apart: %s is %s times %s in all timings", of[0], names[column], names[column], Number(shares[i]), of[0])
	}
	return fmt.Sprintf("%s cannot be told from %s: in all timings it is the same sum of them", names[column], together(of, "and"))
}
