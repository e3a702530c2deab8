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
	usual                       int               // the size it has if none is given; 0: one must be given
	slice                       starlark.Callable // places what repeats; nil: not said
	chained                     bool              // try a chain of slices instead of what build places
	pitch                       engine.Cell       // what lies between a slice and the next one; zero: not said
}

// machine reads a design, or anything with .name .build .send .read .over.
func machineArg(c *Call, param string) *machine {
	if c.Err != nil {
		return nil
	}
	return machineOf(c, param, c.Value(param))
}

func machineOf(c *Call, param string, v starlark.Value) *machine {
	const want = "a design, as design(...) gives it, or its name"
	if name, ok := v.(starlark.String); ok {
		for _, d := range c.Env.designs {
			if d.(*Design).Name == string(name) {
				v = d
			}
		}
	}
	has, ok := v.(starlark.HasAttrs)
	if !ok {
		c.Bad(param, show(v), want)
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
			c.Bad(param, fmt.Sprintf("%s without a function .%s", article(v.Type()), f.name), want)
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
	m.sized, m.usual = sizeParam(m.build)
	switch over := attr("over").(type) {
	case starlark.Callable:
		m.overOf = over
	case starlark.Iterable:
		m.over = slices.Collect(starlark.Elements(over))
	case starlark.NoneType:
	default:
		c.Bad(param, "a design whose .over is "+show(over), "numbers, or a function from the size to them")
		return nil
	}
	m.slice, _ = attr("slice").(starlark.Callable)
	if cell, ok := asCell(attr("pitch")); ok {
		m.pitch = cell
	}
	return m
}

// sizeParam reads from a build whether it takes a size, and which one it has if none is given. Its second parameter is the size,
// unless that has a default which is none.
func sizeParam(build starlark.Callable) (sized bool, usual int) {
	fn, ok := build.(*starlark.Function)
	if !ok || fn.NumParams()-fn.NumKwonlyParams()-boolInt(fn.HasVarargs())-boolInt(fn.HasKwargs()) < 2 {
		return false, 0
	}
	d := fn.ParamDefault(1)
	if d == nil {
		return true, 0
	}
	n, ok := d.(starlark.Int)
	size, small := n.Int64()
	if !ok || !small || size < 1 || size > engine.MaxTicks {
		return false, 0
	}
	return true, int(size)
}

// The rule about sizes, as the parameter size= of every experiment says it.
const (
	sizeDoc      = "the size to build, where build takes one: build(frame, size); None: the default of that parameter; without a default it must be given; where build takes no size it must not"
	sizeDocUsual = "the size to build, where build takes one: build(frame, size); None: the default of that parameter, or 8 where it has none; where build takes no size it must not be given"
)

// sizeOf is the size at which an experiment tries a design; param of the word is size=. otherwise is what the word takes where
// neither it nor the build says one; 0: then one must be given. A design whose build takes no size has 1.
func sizeOf(c *Call, m *machine, param string, otherwise int) int {
	switch {
	case c.Err != nil:
		return 1
	case !m.sized && c.Has(param):
		c.Fail("for parameter size: the build of %s takes no size; leave size out, or give it a second parameter: build(frame, size)", m.name)
		return 1
	case !m.sized:
		return 1
	case c.Has(param):
		return c.Small(param, 1, 1)
	case m.usual > 0:
		return m.usual
	case otherwise == 0:
		c.Fail("the design %s has many sizes; give one with size=", m.name)
		return 1
	}
	return otherwise
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
func newBay(c *Call, m *machine) *bay {
	l := &bay{machine: m, c: c, Setting: plainSetting(c.Env.rules()), crew: newCrew(c.Env)}
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
func (l *bay) values(param string, size int) []starlark.Value {
	c := l.c
	var vs []starlark.Value
	if c.Has(param) {
		it, ok := c.Value(param).(starlark.Iterable)
		if !ok {
			c.Bad(param, show(c.Value(param)), "")
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
