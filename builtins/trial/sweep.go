package trial

import (
	"errors"
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

func sweepWords() []builtins.Entry {
	return []builtins.Entry{
		{Name: "sweep", Topic: "experiments", Sentence: "Tries every value on a bench of its own, on all processors, under the rules of the present bench; the table is the same with any number of them.",
			Params: []builtins.Param{
				{Name: "what", Type: "a design or a function", Doc: "a design: each n is sent and read; a function: called with each value, gives a value, or a dict or struct of several, none named as a variable or error"},
				{Name: "over", Type: "a list of values", Default: "None", Optional: true, Doc: "or a dict from names to lists: all combinations, given by name; of a design the names are n, news, reads, travel, reach, run, order, fall; None: what the design says"},
				{Name: "until", Type: "function", Default: "None", Optional: true, Keyword: true, Doc: "until(row): where it gives True, that row is the last"},
				{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: "of a design: " + SizeDoc}},
			Returns: "a table with .head .rows .column(head) .sort(head, ...) .where(test) .save(path) .plot(...); of a design the columns are n, read (None if nothing could be read), right, ticks (until all was quiet, or it was stopped) and, if anything went wrong, error",
			Example: PlainLine + "t = sweep(line)\nexpect_equal(t.column(\"read\"), [1, 2, 3, 4, 5])\nsquares = sweep(lambda x: x * x, range(4), until=lambda row: row.result > 3)\nexpect_equal(squares.column(\"result\"), [0, 1, 4])\nprint(t.where(lambda row: row.n > 3).sort(\"n\", reverse=True))",
			See:     []string{"design", "survey", "plot", "kept"}, Call: sweep},
		{Name: "kept", Topic: "experiments", Sentence: "Gives the table of the last sweep, or the report of a search or a shrink that came later: also of one that was interrupted, with what was done.",
			Returns: "a table or a report, or None", Example: "sweep(lambda x: x + 1, range(3))\nexpect_equal(kept().column(\"result\"), [1, 2, 3])", See: []string{"sweep"}, Call: keptTable},
	}
}

func keptTable(c *builtins.Call) (starlark.Value, error) {
	if c.Env.Kept == nil {
		return nil, nil
	}
	return c.Env.Kept, nil
}

// variable is one variable of a sweep.
type variable struct {
	name   string
	Values []starlark.Value
}

// maxTrials is how many trials one sweep may have: their rows are kept.
const maxTrials = 10_000_000

// Axes reads over.
func Axes(c *builtins.Call, param string, name string) (as []variable, byName bool) {
	size := 1
	switch v := c.Value(param).(type) {
	case *starlark.Dict:
		byName = true
		for k, x := range v.Entries() {
			key, ok := k.(starlark.String)
			it, many := x.(starlark.Iterable)
			if !ok || !many {
				c.Bad(param, "a dict with "+builtins.Show(k)+": "+builtins.Show(x), "names and lists of values")
				return nil, false
			}
			vs, err := values(c.Env, it)
			if err != nil {
				c.Fail("for parameter %s: got %s: %w", param, key, err)
				return nil, false
			}
			as = append(as, variable{string(key), vs})
		}
		if len(as) == 0 {
			c.Bad(param, "an empty dict", "")
		}
	case starlark.Iterable:
		vs, err := values(c.Env, v)
		if err != nil {
			c.Fail("for parameter %s: got %w", param, err)
			return nil, false
		}
		as = []variable{{name, vs}}
	default:
		c.Bad(param, builtins.Show(v), "")
	}
	for _, a := range as {
		if len(a.Values) > 0 && size > maxTrials/len(a.Values) {
			c.Bad(param, "too many combinations", fmt.Sprintf("at most %d", maxTrials))
		}
		size *= max(len(a.Values), 1)
	}
	for _, a := range as {
		c.Freeze(param, a.Values...)
	}
	return as, byName
}

// points is how many combinations there are; point gives one: the last variable runs fastest.
func points(as []variable) int {
	n := 1
	for _, a := range as {
		n *= len(a.Values)
	}
	return n
}

func point(as []variable, i int) []starlark.Value {
	vs := make([]starlark.Value, len(as))
	for k := len(as) - 1; k >= 0; k-- {
		n := len(as[k].Values)
		vs[k], i = as[k].Values[i%n], i/n
	}
	return vs
}

// errorHead is the column of what went wrong in a run.
const errorHead = "error"

// field is one column of one row.
type field struct {
	head  string
	value starlark.Value
}

func sweep(c *builtins.Call) (starlark.Value, error) {
	fn, isFn := c.Value("what").(starlark.Callable)
	var trial func(r *Runner, i int) ([]field, error)
	var n int
	var first []string // heads that are there even without rows
	var fns []starlark.Value
	if isFn {
		name := "value"
		if f, ok := fn.(*starlark.Function); ok && f.NumParams() > 0 {
			name, _ = f.Param(0)
		}
		if !c.Has("over") {
			return nil, c.Fail("a function has no values of its own; give some with over=")
		}
		if c.Has("size") {
			return nil, c.Fail("for parameter size: a function takes no size; it goes with a design only")
		}
		as, byName := Axes(c, "over", name)
		if c.Err != nil {
			return nil, c.Err
		}
		if slices.ContainsFunc(as, func(a variable) bool { return a.name == errorHead }) {
			return nil, c.Fail("a variable is named %q, which is the column of runs that went wrong; want another name", errorHead)
		}
		if !c.Env.Trial {
			c.Freeze("what", fn)
		}
		if c.Err != nil {
			return nil, c.Err
		}
		n, trial = points(as), functionTrial(c, fn, as, byName)
		fns = append(fns, fn)
		for _, a := range as {
			first = append(first, a.name)
		}
	} else {
		d := DesignArg(c, "what")
		if c.Err != nil {
			return nil, c.Err
		}
		var as []variable
		as, trial = designTrial(c, d)
		if c.Err != nil {
			return nil, c.Err
		}
		n = points(as)
		for _, a := range as {
			first = append(first, a.name)
		}
		fns = append(fns, d.Build, d.Send, d.Read)
	}
	var until starlark.Callable
	if c.Has("until") {
		var ok bool
		if until, ok = c.Value("until").(starlark.Callable); !ok {
			return nil, c.Bad("until", builtins.Show(c.Value("until")), "")
		}
	}
	if until != nil {
		fns = append(fns, until)
	}
	defer FenceIn(c.Env, fns...)()
	return swept(c, n, first, trial, until)
}

// swept makes the trials and their table.
func swept(c *builtins.Call, n int, head []string, trial func(*Runner, int) ([]field, error), until starlark.Callable) (starlark.Value, error) {
	e := c.Env
	rows, said := make([][]field, n), make([]string, n)
	judge := NewRunner(e)
	defer judge.close()
	judge.Env.Bench = engine.New(e.Rules())
	stood := 0 // rows that count
	crew := NewCrew(e)
	defer crew.Close()
	err := crew.Each("sweep", n, func(r *Runner, i int) error {
		fields, err := trial(r, i)
		rows[i], said[i] = fields, r.out.String()
		return err
	}, func(i int) (bool, error) {
		stood = i + 1
		if e.Out != nil && said[i] != "" {
			fmt.Fprint(e.Out, said[i])
		}
		if until == nil {
			return true, nil
		}
		d := starlark.StringDict{}
		for _, f := range rows[i] {
			d[f.head] = f.value
		}
		v, err := judge.Call(until, starlarkstruct.FromStringDict(starlark.String("row"), d))
		return err == nil && !bool(v.Truth()), err
	})
	table := tabulate(head, rows[:stood])
	e.Kept = table
	if err != nil {
		var stopped *engine.Stopped
		if errors.As(err, &stopped) {
			e.Print(fmt.Sprintf("sweep: %d of %d trials done; kept() gives their table", stood, n))
			return nil, c.Wrap(&engine.Stopped{At: e.Bench.Now(), Err: stopped.Err})
		}
		return nil, c.Fail("trial %d of %d: %w", stood+1, n, err)
	}
	return table, nil
}

// tabulate makes a table of rows whose columns may differ.
func tabulate(head []string, rows [][]field) *builtins.Table {
	t := &builtins.Table{Head: slices.Clone(head)}
	at := map[string]int{}
	for i, h := range head {
		at[h] = i
	}
	for _, r := range rows {
		for _, f := range r {
			if _, ok := at[f.head]; !ok {
				at[f.head] = len(t.Head)
				t.Head = append(t.Head, f.head)
			}
		}
	}
	for _, r := range rows {
		row := make([]starlark.Value, len(t.Head))
		for i := range row {
			row[i] = starlark.None
		}
		for _, f := range r {
			if i, ok := at[f.head]; ok {
				row[i] = f.value
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// functionTrial calls a function of the script on an empty bench.
func functionTrial(c *builtins.Call, fn starlark.Callable, as []variable, byName bool) func(*Runner, int) ([]field, error) {
	rules, late := c.Env.Rules(), c.Env.Late
	return func(r *Runner, i int) ([]field, error) {
		r.fresh(rules, i)
		r.Env.Late = late
		args := point(as, i)
		var fields []field
		var kwargs []starlark.Tuple
		for k, a := range as {
			fields = append(fields, field{a.name, args[k]})
			kwargs = append(kwargs, starlark.Tuple{starlark.String(a.name), args[k]})
		}
		if byName {
			args = nil
		} else {
			kwargs = nil
		}
		v, err := r.call(fn, args, kwargs)
		if err != nil {
			if !isOutcome(err) || r.Env.Stopped() != nil {
				return nil, err
			}
			return append(fields, field{errorHead, starlark.String(say.Clean(builtins.Message(err)))}), nil
		}
		return withResults(fields, v)
	}
}

// withResults adds the columns of what a function gave to those of its variables. Two columns of one name would hide one
// another, so they are an error; a variable given back as it came is none.
func withResults(fields []field, v starlark.Value) ([]field, error) {
	vars := len(fields)
	add := func(head string, x starlark.Value) error {
		if head == errorHead {
			return fmt.Errorf("the function gives a value named %q, which is the column of runs that went wrong; want another name", head)
		}
		switch k := slices.IndexFunc(fields, func(f field) bool { return f.head == head }); {
		case k < 0:
			fields = append(fields, field{head, x})
		case k >= vars:
			return fmt.Errorf("the function gives two values named %q; want a name for each", head)
		default:
			if same, err := starlark.Equal(fields[k].value, x); err != nil || !same {
				return fmt.Errorf("the function gives %s as %q, which is the name of a variable that is %s; want another name", builtins.Show(x), head, builtins.Show(fields[k].value))
			}
		}
		return nil
	}
	switch v := v.(type) {
	case *starlark.Dict:
		for k, x := range v.Entries() {
			if err := add(builtins.Text(k), x); err != nil {
				return nil, err
			}
		}
	case *starlarkstruct.Struct:
		for _, a := range v.AttrNames() {
			x, err := v.Attr(a)
			if err == nil {
				err = add(a, x)
			}
			if err != nil {
				return nil, err
			}
		}
	default:
		if err := add("result", v); err != nil {
			return nil, err
		}
	}
	return fields, nil
}

// designTrial sends a number through a design. Variables other than n change the rules.
func designTrial(c *builtins.Call, d *Design) ([]variable, func(*Runner, int) ([]field, error)) {
	size := SizeOf(c, d, "size", 0)
	var as []variable
	if c.Has("over") {
		as, _ = Axes(c, "over", "n")
	}
	numbers := slices.IndexFunc(as, func(a variable) bool { return a.name == "n" })
	if numbers < 0 && c.Err == nil {
		vs, err := d.NumbersOf(c.Thread, size)
		if err != nil {
			c.Wrap(err)
		} else {
			d.some(c, "", vs)
		}
		numbers, as = len(as), append(as, variable{"n", vs})
	}
	for k, a := range as {
		switch {
		case c.Err != nil || len(a.Values) > 0:
		case k == numbers:
			d.some(c, "over", nil)
		default:
			c.Bad("over", fmt.Sprintf("no values of %q", a.name), "at least one")
		}
	}
	base := PlainSetting(c.Env.Rules())
	base.Late = c.Env.Late
	// Every value of every other variable must be a rule before anything runs.
	for k, a := range as {
		for _, v := range a.Values {
			if c.Err == nil && k != numbers {
				s := base
				if err := s.Set(a.name, v); err != nil {
					c.Fail("for parameter over: %w", err)
				}
			}
		}
	}
	return as, func(r *Runner, i int) ([]field, error) {
		s := base
		var fields []field
		at := point(as, i)
		for k, a := range as {
			if k != numbers {
				s.Set(a.name, at[k])
			}
			fields = append(fields, field{a.name, at[k]})
		}
		t, err := r.Rigged(d, s, size)
		if err != nil {
			return nil, fmt.Errorf("build: %w", err)
		}
		got, fault, err := t.Once(i, at[numbers])
		if err != nil {
			return nil, err
		}
		same, err := starlark.Equal(got, at[numbers])
		right := same && err == nil && fault == "" // where nothing was read, None was not read either
		fields = append(fields, field{"read", got}, field{"right", starlark.Bool(right)}, field{"ticks", starlark.MakeInt64(t.Bench.Now().Tick)})
		if fault != "" {
			fields = append(fields, field{errorHead, starlark.String(fault)})
		}
		return fields, nil
	}
}
