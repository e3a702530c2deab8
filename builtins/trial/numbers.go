package trial

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

// OverSize reports whether the numbers of a design go by its size.
func (d *Design) OverSize() bool {
	_, ok := d.Over.(starlark.Callable)
	return ok
}

// NumbersOf are the numbers a design of that size is for.
func (d *Design) NumbersOf(thread *starlark.Thread, size int) ([]starlark.Value, error) {
	fn, bySize := d.Over.(starlark.Callable)
	if !bySize {
		own, _ := d.Over.(starlark.Tuple)
		return slices.Clone(own), nil
	}
	v, err := starlark.Call(thread, fn, starlark.Tuple{starlark.MakeInt(size)}, nil)
	if err != nil {
		return nil, err
	}
	it, ok := v.(starlark.Iterable)
	if !ok {
		return nil, fmt.Errorf("over(%d) gives %s, want numbers", size, builtins.Show(v))
	}
	vs, err := values(builtins.Of(thread), it)
	if err != nil {
		return nil, fmt.Errorf("over(%d) gives %w", size, err)
	}
	return vs, nil
}

// values are those in a list, if no more than there may be trials.
func values(e *builtins.Env, it starlark.Iterable) ([]starlark.Value, error) {
	n := starlark.Len(it)
	if n > maxTrials {
		return nil, fmt.Errorf("%s, want at most %d", say.Count(n, "value"), maxTrials)
	}
	vs := make([]starlark.Value, 0, max(n, 0))
	for v := range starlark.Elements(it) {
		if err := e.StoppedAt(len(vs)); err != nil {
			return nil, err
		}
		vs = append(vs, v)
	}
	return vs, nil
}

// Values reads a parameter that narrows the numbers of a design; otherwise they are what the design says. Each is there once. That
// there are none is an error.
func (d *Design) Values(c *builtins.Call, param string, size int) (vs []starlark.Value) {
	if !c.Has(param) {
		vs, err := d.NumbersOf(c.Thread, size)
		if err != nil {
			c.Wrap(err)
			return nil
		}
		return d.some(c, "", Once(c.Env, vs))
	}
	v := c.Value(param)
	it, ok := v.(starlark.Iterable)
	if _, isDict := v.(*starlark.Dict); isDict || !ok {
		c.Bad(param, builtins.Show(v), "")
		return nil
	}
	vs, err := values(c.Env, it)
	if err != nil {
		c.Fail("for parameter %s: got %w", param, err)
		return nil
	}
	c.Freeze(param, vs...)
	return d.some(c, param, Once(c.Env, vs))
}

// some sees that there is something to send. given is the parameter that named it; "": the design did.
func (d *Design) some(c *builtins.Call, given string, vs []starlark.Value) []starlark.Value {
	switch err := c.Env.Stopped(); {
	case err != nil:
		c.Wrap(err)
	case len(vs) > 0:
	case given != "":
		c.Bad(given, "no numbers to send", "at least one, or None for those of the design")
	default:
		c.Fail("the design %s names no numbers to send; give some with over=", d.Name)
	}
	return vs
}

// Once leaves each value once, where it came first. What is named twice is no second number: all experiments that use it send
// each more than once anyway. A value that cannot be a key stays. Once the context has ended all stay. It may give the very slice it was given.
func Once(e *builtins.Env, vs []starlark.Value) []starlark.Value {
	seen := newSeen(len(vs))
	var once []starlark.Value // nil: all so far
	for n, v := range vs {
		if e.StoppedAt(n) != nil {
			return vs
		}
		switch again := seen.again(v); {
		case again && once == nil:
			once = slices.Clone(vs[:n])
		case !again && once != nil:
			once = append(once, v)
		}
	}
	if once == nil {
		return vs
	}
	return once
}

// seen are many values, in sets of a few thousand each: to make room in one that holds a million takes long, and cannot be stopped.
type seen []starlark.Set

func newSeen(n int) seen { return make(seen, 1+n/4096) }

// again reports whether a value was there before. One that cannot be a key never was.
func (s seen) again(v starlark.Value) bool {
	hash, err := v.Hash()
	if err != nil {
		return false
	}
	const spread = 0x9e3779b1 // numbers far apart, such as whole thousands, have hashes that lie close
	set := &s[uint64(hash*spread)*uint64(len(s))>>32]
	has, err := set.Has(v)
	if err == nil && !has {
		err = set.Insert(v)
	}
	return has && err == nil
}

// Nouns are values as say.Values counts them.
func Nouns(vs []starlark.Value) []string {
	texts := make([]string, len(vs))
	for i, v := range vs {
		texts[i] = builtins.Show(v)
	}
	return texts
}
