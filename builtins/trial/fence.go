package trial

import (
	"reflect"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/lag"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/sketch"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// Trials run at the same time, and a list that one changes while another reads it is a race. So while trials run, what their
// functions can reach does not change: what they captured and their defaults are frozen for good (they are theirs alone),
// and every name of the session stands for a frozen copy of what it held; values that belong to the session's bench,
// or that only a function of the session can reach, stand for a value that says so when it is used. Afterwards the
// names stand for what they did before, and nothing of the session is frozen.

// FenceIn puts the fence up, unless this is a trial: round that it stands already. open takes it away again. Once all is stopped no fence is put up:
// no function of a trial begins any more.
func FenceIn(e *builtins.Env, fns ...starlark.Value) (open func()) {
	if e.Trial {
		return func() {}
	}
	return fence(e.Stopped, fns...)
}

// fence puts up the fence round what the functions, which are frozen, can reach.
func fence(until hold.Until, fns ...starlark.Value) (open func()) {
	f := &fenced{until: until, maps: map[uintptr]starlark.StringDict{}, fns: map[*starlark.Function]bool{}}
	for _, v := range fns {
		f.reach(v)
	}
	// Functions that the session's names hold may lead to further worlds of names.
	for changed := true; changed; {
		before := len(f.fns)
		for _, m := range f.maps {
			for _, v := range m {
				if fn, ok := v.(*starlark.Function); ok {
					f.reach(fn)
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
	name := ""
	copies := until.NewChanger(func(h hold.Held) (starlark.Value, error) { return f.still(h, name) })
	for _, m := range f.maps {
		for n, v := range m {
			name = n
			w, err := copies.Of(v)
			if err == nil && !hold.Same(w, v) {
				err = until.Freeze(w)
			}
			if until() != nil {
				return func() {}
			}
			if err != nil {
				w = outside{n, err.Error()}
			}
			if !hold.Same(w, v) {
				put = append(put, change{m, n, v, w})
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
	until hold.Until
	maps  map[uintptr]starlark.StringDict // worlds of names, by where they lie
	fns   map[*starlark.Function]bool     // seen
}

// reach notes the names that the functions in a value can see, and freezes what they hold for good: defaults, and the names of their files.
func (f *fenced) reach(v starlark.Value) {
	todo := []starlark.Value{v}
	for len(todo) > 0 {
		v := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		f.until.Walk(v, func(h hold.Held) bool {
			fn, ok := h.Value.(*starlark.Function)
			if h.Way == hold.Usual {
				f.until.Freeze(h.Value) // a default that changes from call to call is no default
			}
			if !ok || f.fns[fn] {
				return !ok
			}
			f.fns[fn] = true
			if m := fn.Module().Predeclared(); m != nil {
				f.maps[reflect.ValueOf(m).Pointer()] = m
			}
			for _, g := range fn.Globals() {
				f.until.Freeze(g)
				todo = append(todo, g)
			}
			return true
		})
	}
}

// still gives what a name, or what lies in it, stands for while trials run: the value itself if it cannot change; nil: what becomes of what it holds.
func (f *fenced) still(h hold.Held, name string) (starlark.Value, error) {
	out := func(why string) (starlark.Value, error) { return outside{name + fields(h), why}, nil }
	switch v := h.Value.(type) {
	case starlark.Tuple, *starlark.List, *starlark.Dict, *starlark.Set, *starlarkstruct.Struct:
		return nil, nil
	case *starlark.Function:
		if !f.steady(v) {
			return out("it holds values of its own that may change; make them inside the trial's functions, or pass them")
		}
		for x := range hold.Holds(v) {
			if x.Way == hold.Usual && f.until.Freeze(x.Value) != nil {
				return out("a default of it cannot be frozen")
			}
		}
	case *starlark.Builtin:
		if !f.steady(v) {
			return out("it belongs to a value that may change")
		}
	case *builtins.Table:
		return v, f.until.Freeze(v)
	case builtins.Changing:
		return out("it changes as it is used, and belongs to the session; what a trial needs of it can be read before, such as a field into a name")
	case builtins.Part, *builtins.Row, *sketch.Sketch, *observe.Probe, *builtins.Event, *lag.Cost:
		return out("it belongs to the session's bench; a trial has a bench of its own: find parts there by name, or through the rig")
	}
	return h.Value, nil
}

// fields is by which fields of structs one comes to what is held.
func fields(h hold.Held) (way string) {
	for at := &h; at != nil; at = at.In {
		if at.Way == hold.Field {
			way = "." + at.Name + way
		}
	}
	return way
}

// steady reports whether a value that a function holds cannot change, nor lead to the session's bench: a list that is frozen cannot.
func (f *fenced) steady(v starlark.Value) bool {
	ok := true
	err := f.until.Walk(v, func(h hold.Held) bool {
		switch v := h.Value.(type) {
		case *builtins.Frame, builtins.Rules, builtins.Instant, builtins.Worldly, *builtins.OwnKind, *Design:
			return false
		case starlark.Tuple, *starlarkstruct.Struct, *starlark.Function, *starlark.Builtin:
			return h.Way != hold.Usual
		default:
			if h.Way != hold.Usual && hold.Frozen(v) {
				return true
			}
			ok = ok && (hold.Plain(v) || h.Way == hold.Usual)
		}
		return false
	})
	return ok && err == nil
}

// outside stands, in a trial, for a value of the session that trials cannot use.
type outside struct{ name, why string }

var (
	_ starlark.HasAttrs = outside{}
	_ starlark.Callable = outside{}
	_ starlark.Mapping  = outside{}
)

func (o outside) err() error            { return &outsideError{o.name, o.why} }
func (o outside) String() string        { return o.name + ", which cannot be used in a trial" }
func (o outside) Type() string          { return "value from outside the trial" }
func (o outside) Freeze()               {}
func (o outside) Truth() starlark.Bool  { return starlark.True }
func (o outside) Hash() (uint32, error) { return 0, o.err() }
func (o outside) Name() string          { return o.name }
func (o outside) AttrNames() []string   { return nil }

// Attr refuses.
func (o outside) Attr(string) (starlark.Value, error) { return nil, o.err() }

// Get refuses.
func (o outside) Get(starlark.Value) (starlark.Value, bool, error) { return nil, false, o.err() }

// CallInternal refuses.
func (o outside) CallInternal(*starlark.Thread, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
	return nil, o.err()
}
