package builtins

import (
	"fmt"
	"slices"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// machine is a design as the experiments in this package see it: the three functions, the numbers it takes, and what
// repeats in it.
type machine struct {
	design                      starlark.Value
	name, version, author, note string
	build, send, read           starlark.Callable
	over                        []starlark.Value  // the numbers, of a design of one size
	overOf                      starlark.Callable // or a function from the size to them
	sized                       bool              // build takes a size: build(frame, size)
	slice                       starlark.Callable // places what repeats; nil: not said
	chained                     bool              // try a chain of slices instead of what build places
	pitch                       engine.Cell       // what lies between a slice and the next one; zero: not said
}

// machine reads a design, or anything with .name .build .send .read .over.
func (c *Call) machine(i int) *machine {
	if c.Err != nil {
		return nil
	}
	return c.machineOf(i, c.vals[i])
}

func (c *Call) machineOf(i int, v starlark.Value) *machine {
	const want = "a design, as design(...) gives it, or its name"
	if name, ok := v.(starlark.String); ok {
		for _, d := range c.Env.designs {
			if d.Name == string(name) {
				v = d
			}
		}
	}
	has, ok := v.(starlark.HasAttrs)
	if !ok {
		c.Bad(i, show(v), want)
		return nil
	}
	attr := func(name string) starlark.Value {
		x, err := has.Attr(name)
		if err != nil || x == nil {
			return starlark.None
		}
		return x
	}
	m := &machine{design: v}
	for _, f := range [...]struct {
		name string
		to   *starlark.Callable
	}{{"build", &m.build}, {"send", &m.send}, {"read", &m.read}} {
		fn, ok := attr(f.name).(starlark.Callable)
		if !ok {
			c.Bad(i, fmt.Sprintf("%s without a function .%s", article(v.Type()), f.name), want)
			return nil
		}
		*f.to = fn
	}
	for _, f := range [...]struct {
		name string
		to   *string
	}{{"name", &m.name}, {"version", &m.version}, {"author", &m.author}, {"note", &m.note}} {
		if s := attr(f.name); s != starlark.None {
			*f.to = text(s)
		}
	}
	if fn, ok := m.build.(*starlark.Function); ok {
		least := fn.NumParams()
		for k := range fn.NumParams() {
			if fn.ParamDefault(k) != nil {
				least--
			}
		}
		m.sized = fn.NumParams() >= 2 && least >= 2 && !fn.HasVarargs()
	}
	switch over := attr("over").(type) {
	case starlark.Callable:
		m.overOf = over
	case starlark.Iterable:
		m.over = slices.Collect(starlark.Elements(over))
	case starlark.NoneType:
	default:
		c.Bad(i, "a design whose .over is "+show(over), "numbers, or a function from the size to them")
		return nil
	}
	m.slice, _ = attr("slice").(starlark.Callable)
	if cell, ok := asCell(attr("pitch")); ok {
		m.pitch = cell
	}
	return m
}

// functions are what a design calls.
func (m *machine) functions() []starlark.Value {
	fns := []starlark.Value{m.build, m.send, m.read}
	if m.slice != nil {
		fns = append(fns, m.slice)
	}
	if m.overOf != nil {
		fns = append(fns, m.overOf)
	}
	return fns
}

// bay is where the experiments of this package try a machine, under one setting, on benches of its own. What a script prints
// in a trial is not shown. The same trials give the same results whatever else the session has on its bench.
type bay struct {
	*machine
	c *Call
	Setting
	*crew
	trials int64
}

// bay opens a bay; close it in the end.
func (c *Call) bay(m *machine) *bay {
	l := &bay{machine: m, c: c, Setting: plainSetting(c.Env.rules()), crew: c.Env.crew()}
	l.Late = c.Env.Late
	return l
}

// of is the bay with another machine in it.
func (l *bay) of(m *machine) *bay {
	return &bay{machine: m, c: l.c, Setting: l.Setting, crew: l.crew}
}

// one is the runner for trials that are made one after the other.
func (l *bay) one() *runner { return l.runner(0) }

// pose builds the machine, or brings it back to how it was built. size counts only where build takes one.
func (l *bay) pose(r *runner, size int) (*rigged, error) {
	if err := l.c.Env.stopped(); err != nil {
		return nil, err
	}
	r.trials++
	t, err := r.rigged(l.machine, l.Setting, size)
	if err != nil {
		what := "build"
		if l.chained {
			what = "slice"
		}
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	t.begin(0)
	return t, nil
}

// start sends a number. It takes effect from the next tick on.
func (t *rigged) start(n starlark.Value) error {
	turns, tick := t.bench.Turns(), t.bench.Now().Tick
	if err := t.give(n); err != nil {
		return fmt.Errorf("send: %w", err)
	}
	if t.bench.Turns() != turns || t.bench.Now().Tick != tick {
		return fmt.Errorf("send lets time pass; it must only say what is to happen (press, release, fire, nudge), and take it from there")
	}
	return nil
}

// rest runs to quiet and tells how many ticks passed.
func (t *rigged) rest() (int64, error) {
	from := t.bench.Now().Tick
	err := t.quiet()
	return t.bench.Now().Tick - from, err
}

func (t *rigged) ticks(n int64) error { return t.bench.RunTicks(t.env.ctx(), n, t.budget) }

// says reads the machine. ok: it says n. got is what it says, or what went wrong. err: the experiment was stopped.
func (t *rigged) says(n starlark.Value) (got string, ok bool, err error) {
	v, err := t.reads()
	if stopped := t.env.stopped(); stopped != nil {
		return "", false, stopped
	}
	if err != nil {
		return "an error: " + message(err), false, nil
	}
	same, err := starlark.Equal(v, n)
	return show(v), err == nil && same, nil
}

// numbers are what a machine of that size takes.
func (l *bay) numbers(size int) ([]starlark.Value, error) { return l.numbersOf(l.c.Thread, size) }

// numbersOf are the numbers a design of that size is for.
func (m *machine) numbersOf(thread *starlark.Thread, size int) ([]starlark.Value, error) {
	if m.overOf == nil {
		return m.over, nil
	}
	v, err := starlark.Call(thread, m.overOf, starlark.Tuple{starlark.MakeInt(size)}, nil)
	if err != nil {
		return nil, err
	}
	it, ok := v.(starlark.Iterable)
	if !ok {
		return nil, fmt.Errorf("over(%d) gives %s, want numbers", size, show(v))
	}
	return slices.Collect(starlark.Elements(it)), nil
}

// values reads a parameter that narrows the numbers; otherwise what the design says.
func (l *bay) values(i, size int) []starlark.Value {
	c := l.c
	var vs []starlark.Value
	if c.Has(i) {
		it, ok := c.vals[i].(starlark.Iterable)
		if !ok {
			c.Bad(i, show(c.vals[i]), "")
			return nil
		}
		vs = slices.Collect(starlark.Elements(it))
	} else {
		var err error
		if vs, err = l.numbers(size); err != nil {
			c.Wrap(err)
			return nil
		}
	}
	if len(vs) == 0 {
		c.Fail("the design %s names no numbers to send; give some with over=", l.name)
	}
	return vs
}
