package trial

import (
	"pulsewright/builtins"

	"fmt"
	"reflect"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// Trials run at the same time, and a list that one changes while another reads it is a race. So while trials run, what their
// functions can reach does not change: what they captured and their defaults are frozen for good (they are theirs alone),
// and every name of the session stands for a frozen copy of what it held; values that belong to the session's bench,
// or that only a function of the session can reach, stand for a value that says so when it is used. Afterwards the
// names stand for what they did before, and nothing of the session is frozen.

// fence puts the fence up, unless this is a trial: round that it stands already.
func FenceIn(e *builtins.Env, fns ...starlark.Value) (open func()) {
	if e.Trial {
		return func() {}
	}
	return fence(fns...)
}

// fence puts up the fence round what the functions can reach. open takes it away again.
func fence(fns ...starlark.Value) (open func()) {
	f := &fenced{maps: map[uintptr]starlark.StringDict{}, fns: map[*starlark.Function]bool{}, copies: map[starlark.Value]starlark.Value{}}
	for _, v := range fns {
		f.reach(v)
	}
	// Functions that the session's names hold may lead to further worlds of names.
	for changed := true; changed; {
		before := len(f.fns)
		for _, m := range f.maps {
			for _, v := range m {
				if fn, ok := v.(*starlark.Function); ok {
					f.visit(fn)
				}
			}
		}
		changed = len(f.fns) != before
	}
	type change struct {
		m        starlark.StringDict
		name     string
		was, now starlark.Value
	}
	var put []change
	for _, m := range f.maps {
		for name, v := range m {
			if w := f.still(v, name); !sameValue(w, v) {
				put = append(put, change{m, name, v, w})
			}
		}
	}
	for _, p := range put {
		p.m[p.name] = p.now
	}
	return func() {
		for _, p := range put {
			p.m[p.name] = p.was
		}
	}
}

type fenced struct {
	maps   map[uintptr]starlark.StringDict   // worlds of names, by where they lie
	fns    map[*starlark.Function]bool       // seen
	copies map[starlark.Value]starlark.Value // of lists, dicts, sets and the like
}

// reach freezes what a trial's own function holds.
func (f *fenced) reach(v starlark.Value) {
	v.Freeze()
	switch v := v.(type) {
	case *starlark.Function:
		f.visit(v)
	case *starlark.Builtin:
		if v.Receiver() != nil {
			f.reach(v.Receiver())
		}
	}
}

// visit notes the names a function can see.
func (f *fenced) visit(fn *starlark.Function) {
	if f.fns[fn] {
		return
	}
	f.fns[fn] = true
	for i := range fn.NumParams() {
		if d := fn.ParamDefault(i); d != nil {
			d.Freeze() // a default that changes from call to call is no default
			if g, ok := d.(*starlark.Function); ok {
				f.visit(g)
			}
		}
	}
	for i := range fn.NumFreeVars() {
		if _, v := fn.FreeVar(i); v != nil {
			if g, ok := v.(*starlark.Function); ok {
				f.visit(g)
			}
		}
	}
	if m := fn.Module().Predeclared(); m != nil {
		f.maps[reflect.ValueOf(m).Pointer()] = m
	}
	for _, v := range fn.Globals() {
		v.Freeze()
		if g, ok := v.(*starlark.Function); ok {
			f.visit(g)
		}
	}
}

// still gives what a name stands for while trials run: the value itself if it cannot change.
func (f *fenced) still(v starlark.Value, name string) starlark.Value {
	switch v := v.(type) {
	case starlark.NoneType, starlark.Bool, starlark.Int, starlark.Float, starlark.String, starlark.Bytes, *builtins.Frame, builtins.Rules, builtins.Instant, *Design:
		return v
	case starlark.Tuple:
		for i, x := range v {
			y := f.still(x, name)
			if !sameValue(x, y) {
				c := append(starlark.Tuple{}, v...)
				for k := i; k < len(c); k++ {
					c[k] = f.still(c[k], name)
				}
				return c
			}
		}
		return v
	case *starlark.List:
		return f.copied(v, func() starlark.Value { return &starlark.List{} }, func(w starlark.Value) {
			for x := range v.Elements() {
				w.(*starlark.List).Append(f.still(x, name))
			}
		})
	case *starlark.Dict:
		return f.copied(v, func() starlark.Value { return starlark.NewDict(v.Len()) }, func(w starlark.Value) {
			for k, x := range v.Entries() {
				w.(*starlark.Dict).SetKey(f.still(k, name), f.still(x, name))
			}
		})
	case *starlark.Set:
		return f.copied(v, func() starlark.Value { return starlark.NewSet(v.Len()) }, func(w starlark.Value) {
			for x := range v.Elements() {
				w.(*starlark.Set).Insert(f.still(x, name))
			}
		})
	case *starlarkstruct.Struct:
		if c, ok := f.copies[v]; ok {
			return c
		}
		d, changed := starlark.StringDict{}, false
		for _, a := range v.AttrNames() {
			x, _ := v.Attr(a)
			d[a] = f.still(x, name+"."+a)
			changed = changed || !sameValue(x, d[a])
		}
		f.copies[v] = v
		if changed {
			f.copies[v] = starlarkstruct.FromStringDict(v.Constructor(), d)
		}
		return f.copies[v]
	case *starlark.Function:
		for i := range v.NumFreeVars() {
			if _, x := v.FreeVar(i); x != nil && !f.steady(x, 0) {
				return outside{name, "it holds values of its own that may change; make them inside the trial's functions, or pass them"}
			}
		}
		return v
	case *starlark.Builtin:
		if r := v.Receiver(); r != nil && !f.steady(r, 0) {
			return outside{name, "it belongs to a value that may change"}
		}
		return v
	case *builtins.Table:
		v.Freeze()
		return v
	case builtins.Part, *builtins.Row, *builtins.Probe, *builtins.Event, *builtins.Cost:
		return outside{name, "it belongs to the session's bench; a trial has a bench of its own: find parts there by name, or through the rig"}
	}
	return v
}

func sameValue(a, b starlark.Value) bool {
	t, ok := a.(starlark.Tuple)
	u, both := b.(starlark.Tuple)
	if ok || both {
		return ok && both && len(t) == len(u) && (len(t) == 0 || &t[0] == &u[0])
	}
	return a == b
}

func (f *fenced) copied(v starlark.Value, empty func() starlark.Value, fill func(starlark.Value)) starlark.Value {
	if c, ok := f.copies[v]; ok {
		return c
	}
	c := empty()
	f.copies[v] = c // before it is filled: it may hold itself
	fill(c)
	c.Freeze()
	return c
}

// steady reports whether a value that a function holds cannot change, nor lead to the session's bench. Deep down it
// says no, which is always safe.
func (f *fenced) steady(v starlark.Value, depth int) bool {
	if depth > 20 {
		return false
	}
	switch v := v.(type) {
	case starlark.NoneType, starlark.Bool, starlark.Int, starlark.Float, starlark.String, starlark.Bytes, *builtins.Frame, builtins.Rules, builtins.Instant, *Design:
		return true
	case starlark.Tuple:
		for _, x := range v {
			if !f.steady(x, depth+1) {
				return false
			}
		}
		return true
	case *starlarkstruct.Struct:
		for _, a := range v.AttrNames() {
			if x, err := v.Attr(a); err != nil || !f.steady(x, depth+1) {
				return false
			}
		}
		return true
	case *starlark.Function:
		for i := range v.NumFreeVars() {
			if _, x := v.FreeVar(i); x != nil && x != starlark.Value(v) && !f.steady(x, depth+1) {
				return false
			}
		}
		return true
	case *starlark.Builtin:
		return v.Receiver() == nil || f.steady(v.Receiver(), depth+1)
	}
	return false
}

// outside stands, in a trial, for a value of the session that trials cannot use.
type outside struct{ name, why string }

var (
	_ starlark.HasAttrs = outside{}
	_ starlark.Callable = outside{}
)

func (o outside) err() error            { return fmt.Errorf("%s cannot be used in a trial: %s", o.name, o.why) }
func (o outside) String() string        { return o.name + ", which cannot be used in a trial" }
func (o outside) Type() string          { return "value from outside the trial" }
func (o outside) Freeze()               {}
func (o outside) Truth() starlark.Bool  { return starlark.True }
func (o outside) Hash() (uint32, error) { return 0, o.err() }
func (o outside) Name() string          { return o.name }
func (o outside) AttrNames() []string   { return nil }

// Attr refuses.
func (o outside) Attr(string) (starlark.Value, error) { return nil, o.err() }

// CallInternal refuses.
func (o outside) CallInternal(*starlark.Thread, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
	return nil, o.err()
}
