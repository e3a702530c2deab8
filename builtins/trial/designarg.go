package trial

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// DesignArg takes the design that a parameter of an experiment names.
func DesignArg(c *builtins.Call, param string) *Design {
	if c.Err != nil {
		return nil
	}
	return DesignOf(c, param, c.Value(param))
}

// DesignOf takes a design, the name of one, or anything with .build .send .read, and .over .slice .pitch and the rest if it has
// them. In a session its functions are frozen from then on.
func DesignOf(c *builtins.Call, param string, v starlark.Value) *Design {
	if name, ok := v.(starlark.String); ok {
		for _, d := range c.Env.Designs {
			if d.(*Design).Name == string(name) {
				v = d
			}
		}
	}
	d, ok := v.(*Design)
	if !ok {
		d = likeDesign(c, param, v)
	}
	if d != nil && !c.Env.Trial {
		c.Freeze(param, d.Functions()...)
	}
	return d
}

// likeDesign makes a design of a value that has what one has; nil: it has not.
func likeDesign(c *builtins.Call, param string, v starlark.Value) *Design {
	const want = "a design, as design(...) gives it, or its name"
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
	d := &Design{Over: starlark.None}
	for _, f := range [...]struct {
		name string
		to   *starlark.Callable
	}{{"build", &d.Build}, {"send", &d.Send}, {"read", &d.Read}} {
		fn, ok := attr(f.name).(starlark.Callable)
		if !ok {
			if s, is := v.(*starlarkstruct.Struct); is && s.Constructor() == starlark.String("machine") {
				c.Bad(param, "a machine that was found for a task without out, or of kinds that no script can tell, which has no ."+f.name, "machines of a task with out, or "+want)
				return nil
			}
			c.Bad(param, fmt.Sprintf("%s without a function .%s", say.Article(v.Type()), f.name), want)
			return nil
		}
		*f.to = fn
	}
	for _, f := range [...]struct {
		name string
		to   *string
	}{{"name", &d.Name}, {"version", &d.Version}, {"author", &d.Author}, {"note", &d.Note}} {
		if s := attr(f.name); s != starlark.None {
			*f.to = builtins.Text(s)
		}
	}
	switch over := attr("over").(type) {
	case starlark.Callable, starlark.NoneType:
		d.Over = over
	case starlark.Iterable:
		vs, err := values(c.Env, over)
		if err != nil {
			c.Fail("for parameter %s: got a design whose .over is %w", param, err)
			return nil
		}
		d.Over = starlark.Tuple(vs)
	default:
		c.Bad(param, "a design whose .over is "+builtins.Show(over), "numbers, or a function from the size to them")
		return nil
	}
	d.Slice, _ = attr("slice").(starlark.Callable)
	d.Pitch, d.pitched = builtins.AsCell(attr("pitch"))
	d.Sized, d.usual = sizeParam(d.Build)
	return d
}

// Functions are what a design calls.
func (d *Design) Functions() []starlark.Value {
	fns := []starlark.Value{d.Build, d.Send, d.Read}
	if d.Slice != nil {
		fns = append(fns, d.Slice)
	}
	if d.OverSize() {
		fns = append(fns, d.Over)
	}
	return fns
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
func SizeOf(c *builtins.Call, d *Design, param string, otherwise int) int {
	switch {
	case c.Err != nil:
		return 1
	case !d.Sized && c.Has(param):
		c.Fail("for parameter size: the build of %s takes no size; leave size out, or give it a second parameter: build(frame, size)", d.Name)
		return 1
	case !d.Sized:
		return 1
	case c.Has(param):
		return c.Small(param, 1, 1)
	case d.usual > 0:
		return d.usual
	case otherwise == 0:
		c.Fail("the design %s has many sizes; give one with size=", d.Name)
		return 1
	}
	return otherwise
}
