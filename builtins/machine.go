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

// bay makes trials of a machine, one after the other, each on a bench of its own. What a script prints in a trial is
// not shown. The same trials give the same results whatever else the session has on its bench.
type bay struct {
	*machine
	c *Call
	Setting
	trials int64
	fault  error // the call has to end: interrupted, or the design cannot be tried at all
}

func (c *Call) bay(m *machine) *bay {
	l := &bay{machine: m, c: c, Setting: plainSetting(c.Env.Bench.Rules())}
	l.Late = c.Env.Late
	return l
}

// posed is a machine built on a bench of its own, and posed.
type posed struct {
	*bay
	env *Env
	rig starlark.Value
}

// pose builds the machine. size counts only where build takes one.
func (l *bay) pose(size int) (*posed, error) {
	if err := l.c.Env.stopped(); err != nil {
		l.fault = err
		return nil, err
	}
	l.trials++
	outer := l.c.Env
	b := engine.New(engine.DefaultRules())
	if err := b.SetRules(l.Rules); err != nil {
		return nil, err
	}
	t := &posed{bay: l, env: &Env{Bench: b, Ctx: outer.Ctx, Width: outer.Width, ASCII: outer.ASCII, Seed: outer.Seed,
		Random: NewRandom(outer.Seed, 0), Workers: 1, Late: l.Late, trial: true}}
	if l.chained {
		rig, err := t.chain(size)
		if err != nil {
			return nil, fmt.Errorf("slice: %w", err)
		}
		t.rig = rig
		return t, nil
	}
	args := starlark.Tuple{l.frame()}
	if l.sized {
		args = append(args, starlark.MakeInt(size))
	}
	rig, err := t.call(l.build, args)
	if err != nil {
		return nil, fmt.Errorf("build: %w", err)
	}
	t.rig = rig
	return t, nil
}

// chained is the rig of a chain of slices: a pulse of n steps is fired at the input of the first, and its width taken at
// the output of the last.
type chained struct {
	starlark.NoneType
	input engine.Target
	out   *Probe
}

// chain places so many slices, s1, s2, ..., a pitch apart.
func (t *posed) chain(size int) (starlark.Value, error) {
	rig := &chained{}
	var at engine.Cell
	f := t.frame()
	for k := range size {
		ports, err := t.call(t.slice, starlark.Tuple{&Frame{at: f.Cell(at), axes: f.axes, mirror: f.mirror, name: fmt.Sprintf("s%d", k+1)}})
		if err != nil {
			return nil, err
		}
		at = at.Add(t.pitch)
		port := func(name string) (engine.Target, error) {
			if has, ok := ports.(starlark.HasAttrs); ok {
				switch v, _ := has.Attr(name); v := v.(type) {
				case Part:
					return engine.Target{ID: v.ID}, nil
				default:
					if cell, ok := asCell(v); ok {
						return engine.Target{Cell: cell}, nil
					}
				}
			}
			return engine.Target{}, fmt.Errorf("it gives no port .%s that is a part or a cell", name)
		}
		if k == 0 {
			if rig.input, err = port("input"); err != nil {
				return nil, err
			}
		}
		if k == size-1 {
			out, err := port("output")
			if err != nil {
				return nil, err
			}
			if rig.out, err = NewProbe(t.env.Bench, out, ""); err != nil {
				return nil, err
			}
		}
	}
	return rig, nil
}

// fireAt fires a pulse at the input of a chain.
func (t *posed) fireAt(rig *chained, n starlark.Value) error {
	steps, ok := n.(starlark.Int)
	v, fits := steps.Int64()
	if !ok || !fits || v < 0 || v > engine.MaxTicks {
		return fmt.Errorf("a chain of slices is sent widths, numbers of steps; got %s", show(n))
	}
	return t.env.Bench.Fire(rig.input, engine.Firing{Steps: int(v), Late: t.Late})
}

// call calls a function of the design on the bench of the trial.
func (t *posed) call(fn starlark.Callable, args starlark.Tuple) (starlark.Value, error) {
	thread := t.c.Thread
	outer, loud := t.c.Env, thread.Print
	t.env.Attach(thread)
	thread.Print = func(*starlark.Thread, string) {}
	v, err := starlark.Call(thread, fn, args, nil)
	thread.Print = loud
	outer.Attach(thread)
	if err != nil {
		if stop := outer.stopped(); stop != nil {
			t.fault = stop
		}
	}
	return v, err
}

// give sends a number. It takes effect from the next tick on.
func (t *posed) give(n starlark.Value) error {
	turns, tick := t.env.Bench.Turns(), t.env.Bench.Now().Tick
	if rig, ok := t.rig.(*chained); ok {
		return t.fireAt(rig, n)
	}
	if _, err := t.call(t.machine.send, starlark.Tuple{t.rig, n}); err != nil {
		return fmt.Errorf("send: %w", err)
	}
	if b := t.env.Bench; b.Turns() != turns || b.Now().Tick != tick {
		return fmt.Errorf("send lets time pass; it must only say what is to happen (press, release, fire, nudge), and take it from there")
	}
	return nil
}

// quiet runs to quiet and tells how many ticks passed.
func (t *posed) quiet() (int64, error) {
	from := t.env.Bench.Now().Tick
	err := t.ran(t.env.Bench.Run(t.env.ctx(), engine.Budget{}))
	return t.env.Bench.Now().Tick - from, err
}

func (t *posed) ticks(n int64) error {
	return t.ran(t.env.Bench.RunTicks(t.env.ctx(), n, engine.Budget{}))
}

func (t *posed) ran(err error) error {
	if err != nil {
		if stop := t.c.Env.stopped(); stop != nil {
			t.fault = stop
		}
	}
	return err
}

// says reads the machine. ok: it says n. got is what it says, or what went wrong.
func (t *posed) says(n starlark.Value) (got string, ok bool) {
	var v starlark.Value
	var err error
	if rig, ok := t.rig.(*chained); ok {
		v = starlark.None
		if ps := rig.out.Pulses(); len(ps) > 0 {
			v = ps[len(ps)-1].widthValue()
		}
	} else {
		v, err = t.call(t.machine.read, starlark.Tuple{t.rig})
	}
	if err != nil {
		return "an error: " + message(err), false
	}
	same, err := starlark.Equal(v, n)
	return show(v), err == nil && same
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
