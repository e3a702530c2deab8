package trial

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Machine is a design as the experiments in this package see it: the three functions, the numbers it takes, and what
// repeats in it.
type Machine struct {
	design                      starlark.Value
	Name, Version, Author, Note string
	Build, Send, Read           starlark.Callable
	over                        []starlark.Value  // the numbers, of a design of one size
	OverOf                      starlark.Callable // or a function from the size to them
	Sized                       bool              // build takes a size: build(frame, size)
	usual                       int               // the size it has if none is given; 0: one must be given
	Slice                       starlark.Callable // places what repeats; nil: not said
	Chained                     bool              // try a chain of slices instead of what build places
	Pitch                       engine.Cell       // what lies between a slice and the next one; zero: not said
}

// machine reads a design, or anything with .name .build .send .read .over.
func MachineArg(c *builtins.Call, param string) *Machine {
	if c.Err != nil {
		return nil
	}
	return MachineOf(c, param, c.Value(param))
}

func MachineOf(c *builtins.Call, param string, v starlark.Value) *Machine {
	const want = "a design, as design(...) gives it, or its name"
	if name, ok := v.(starlark.String); ok {
		for _, d := range c.Env.Designs {
			if d.(*Design).Name == string(name) {
				v = d
			}
		}
	}
	has, ok := v.(starlark.HasAttrs)
	if !ok {
		c.Bad(param, builtins.Show(v), want)
		return nil
	}
	attr := func(name string) starlark.Value {
		x, err := has.Attr(name)
		if err != nil || x == nil {
			return starlark.None
		}
		return x
	}
	m := &Machine{design: v}
	for _, f := range [...]struct {
		name string
		to   *starlark.Callable
	}{{"build", &m.Build}, {"send", &m.Send}, {"read", &m.Read}} {
		fn, ok := attr(f.name).(starlark.Callable)
		if !ok {
			c.Bad(param, fmt.Sprintf("%s without a function .%s", say.Article(v.Type()), f.name), want)
			return nil
		}
		*f.to = fn
	}
	for _, f := range [...]struct {
		name string
		to   *string
	}{{"name", &m.Name}, {"version", &m.Version}, {"author", &m.Author}, {"note", &m.Note}} {
		if s := attr(f.name); s != starlark.None {
			*f.to = builtins.Text(s)
		}
	}
	m.Sized, m.usual = sizeParam(m.Build)
	switch over := attr("over").(type) {
	case starlark.Callable:
		m.OverOf = over
	case starlark.Iterable:
		m.over = slices.Collect(starlark.Elements(over))
	case starlark.NoneType:
	default:
		c.Bad(param, "a design whose .over is "+builtins.Show(over), "numbers, or a function from the size to them")
		return nil
	}
	m.Slice, _ = attr("slice").(starlark.Callable)
	if cell, ok := builtins.AsCell(attr("pitch")); ok {
		m.Pitch = cell
	}
	if !c.Env.Trial {
		c.Freeze(param, m.Functions()...)
	}
	return m
}

// sizeParam reads from a build whether it takes a size, and which one it has if none is given. Its second parameter is the size,
// unless that has a default which is none.
func sizeParam(build starlark.Callable) (sized bool, usual int) {
	fn, ok := build.(*starlark.Function)
	if !ok || fn.NumParams()-fn.NumKwonlyParams()-builtins.BoolInt(fn.HasVarargs())-builtins.BoolInt(fn.HasKwargs()) < 2 {
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
	SizeDoc      = "the size to build, where build takes one: build(frame, size); None: the default of that parameter; without a default it must be given; where build takes no size it must not"
	SizeDocUsual = "the size to build, where build takes one: build(frame, size); None: the default of that parameter, or 8 where it has none; where build takes no size it must not be given"
)

// SizeOf is the size at which an experiment tries a design; param of the word is size=. otherwise is what the word takes where
// neither it nor the build says one; 0: then one must be given. A design whose build takes no size has 1.
func SizeOf(c *builtins.Call, m *Machine, param string, otherwise int) int {
	switch {
	case c.Err != nil:
		return 1
	case !m.Sized && c.Has(param):
		c.Fail("for parameter size: the build of %s takes no size; leave size out, or give it a second parameter: build(frame, size)", m.Name)
		return 1
	case !m.Sized:
		return 1
	case c.Has(param):
		return c.Small(param, 1, 1)
	case m.usual > 0:
		return m.usual
	case otherwise == 0:
		c.Fail("the design %s has many sizes; give one with size=", m.Name)
		return 1
	}
	return otherwise
}

// Functions are what a design calls.
func (m *Machine) Functions() []starlark.Value {
	fns := []starlark.Value{m.Build, m.Send, m.Read}
	if m.Slice != nil {
		fns = append(fns, m.Slice)
	}
	if m.OverOf != nil {
		fns = append(fns, m.OverOf)
	}
	return fns
}

// Bay is where the experiments of this package try a machine, under one setting, on benches of its own. What a script prints
// in a trial is not shown. The same trials give the same results whatever else the session has on its bench.
type Bay struct {
	*Machine
	C *builtins.Call
	Setting
	*Crew
	Trials int64
}

// bay opens a bay; close it in the end.
func NewBay(c *builtins.Call, m *Machine) *Bay {
	l := &Bay{Machine: m, C: c, Setting: PlainSetting(c.Env.Rules()), Crew: NewCrew(c.Env)}
	l.Late = c.Env.Late
	return l
}

// Of is the bay with another machine in it.
func (l *Bay) Of(m *Machine) *Bay {
	return &Bay{Machine: m, C: l.C, Setting: l.Setting, Crew: l.Crew}
}

// One is the runner for trials that are made one after the other.
func (l *Bay) One() *Runner { return l.Runner(0) }

// Pose builds the machine, or brings it back to how it was built. size counts only where build takes one.
func (l *Bay) Pose(r *Runner, size int) (*Rigged, error) {
	if err := l.C.Env.Stopped(); err != nil {
		return nil, err
	}
	r.Trials++
	t, err := r.Rigged(l.Machine, l.Setting, size)
	if err != nil {
		what := "build"
		if l.Chained {
			what = "slice"
		}
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	t.Begin(0)
	return t, nil
}

// Start sends a number. It takes effect from the next tick on.
func (t *Rigged) Start(n starlark.Value) error {
	turns, tick := t.Bench.Turns(), t.Bench.Now().Tick
	if err := t.Give(n); err != nil {
		return fmt.Errorf("send: %w", err)
	}
	if t.Bench.Turns() != turns || t.Bench.Now().Tick != tick {
		return fmt.Errorf("send lets time pass; it must only say what is to happen (press, release, fire, nudge), and take it from there")
	}
	return nil
}

// Rest runs to quiet and tells how many ticks passed.
func (t *Rigged) Rest() (int64, error) {
	from := t.Bench.Now().Tick
	err := t.Quiet()
	return t.Bench.Now().Tick - from, err
}

func (t *Rigged) Ticks(n int64) error { return t.Bench.RunTicks(t.Env.Context(), n, t.Budget) }

// ErrorIs begins what Says gives where read ends in an error.
const ErrorIs = "an error: "

// Says reads the machine. ok: it says n. got is what it says, or what went wrong. err: the experiment was stopped.
func (t *Rigged) Says(n starlark.Value) (got string, ok bool, err error) {
	v, err := t.Reads()
	if stopped := t.Env.Stopped(); stopped != nil {
		return "", false, stopped
	}
	if err != nil {
		return ErrorIs + builtins.Message(err), false, nil
	}
	same, err := starlark.Equal(v, n)
	return builtins.Show(v), err == nil && same, nil
}

// Numbers are what a machine of that size takes.
func (l *Bay) Numbers(size int) ([]starlark.Value, error) { return l.NumbersOf(l.C.Thread, size) }

// NumbersOf are the numbers a design of that size is for.
func (m *Machine) NumbersOf(thread *starlark.Thread, size int) ([]starlark.Value, error) {
	if m.OverOf == nil {
		return m.over, nil
	}
	v, err := starlark.Call(thread, m.OverOf, starlark.Tuple{starlark.MakeInt(size)}, nil)
	if err != nil {
		return nil, err
	}
	it, ok := v.(starlark.Iterable)
	if !ok {
		return nil, fmt.Errorf("over(%d) gives %s, want numbers", size, builtins.Show(v))
	}
	return slices.Collect(starlark.Elements(it)), nil
}

// Values reads a parameter that narrows the numbers of a design; otherwise they are what the design says. Each is there once. That
// there are none is an error.
func (m *Machine) Values(c *builtins.Call, param string, size int) (vs []starlark.Value) {
	if !c.Has(param) {
		vs, err := m.NumbersOf(c.Thread, size)
		if err != nil {
			c.Wrap(err)
			return nil
		}
		return m.some(c, "", Once(vs))
	}
	v := c.Value(param)
	it, ok := v.(starlark.Iterable)
	if _, isDict := v.(*starlark.Dict); isDict || !ok {
		c.Bad(param, builtins.Show(v), "")
		return nil
	}
	if n := starlark.Len(v); n > maxTrials {
		c.Bad(param, say.Count(n, "value"), fmt.Sprintf("at most %d", maxTrials))
		return nil
	}
	vs = slices.Collect(starlark.Elements(it))
	c.Freeze(param, vs...)
	return m.some(c, param, Once(vs))
}

// some sees that there is something to send. given is the parameter that named it; "": the design did.
func (m *Machine) some(c *builtins.Call, given string, vs []starlark.Value) []starlark.Value {
	switch {
	case len(vs) > 0:
	case given != "":
		c.Bad(given, "no numbers to send", "at least one, or None for those of the design")
	default:
		c.Fail("the design %s names no numbers to send; give some with over=", m.Name)
	}
	return vs
}

// Once leaves each value once, where it came first. What is named twice is no second number: all experiments that use it send
// each more than once anyway. A value that cannot be a key stays.
func Once(vs []starlark.Value) []starlark.Value {
	seen := new(starlark.Set)
	return slices.DeleteFunc(slices.Clone(vs), func(v starlark.Value) bool {
		has, err := seen.Has(v)
		if err == nil && !has {
			err = seen.Insert(v)
		}
		return err == nil && has
	})
}

// Nouns are values as say.Values counts them.
func Nouns(vs []starlark.Value) []string {
	texts := make([]string, len(vs))
	for i, v := range vs {
		texts[i] = builtins.Show(v)
	}
	return texts
}

// Values are what Machine.Values reads.
func (l *Bay) Values(param string, size int) []starlark.Value {
	return l.Machine.Values(l.C, param, size)
}
