package trial

import (
	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// Copy makes t what o is, on a copy of o's bench and under t's own rules, without building it. It reports false if that
// cannot be: time has passed in building, which a copy would not know of, building set rules or asked for some that are others
// now, or the rig holds something that belongs to its bench and cannot be carried over. o may be at work meanwhile: only what
// stays as built is looked at.
func (t *Rigged) Copy(o *Rigged) bool {
	if o.Anew || o.sets || !o.posed.Unrun() || o.Asked != 0 && o.Recipe != t.Recipe {
		return false
	}
	c := &carrier{from: o.Bench, to: o.posed.Bench(), by: &t.Env.Inquiry, done: map[starlark.Value]starlark.Value{}}
	rig, ok := c.carry(o.Rig, 0)
	if !ok {
		return false
	}
	if o.Recipe != t.Recipe && c.to.SetRules(t.Setting.Rules) != nil {
		return false
	}
	t.Bench, t.Asked = c.to, o.Asked
	t.Env.Bench, t.Env.Late = t.Bench, t.Setting.Late
	t.Bench.Aside = &t.Env.Inquiry
	t.keep(rig)
	return true
}

// carrier carries values from one bench to a copy of it.
type carrier struct {
	from, to *engine.Bench
	by       *builtins.Inquiry                 // what frames and rules lead to on the other bench
	done     map[starlark.Value]starlark.Value // lists and the like: what is shared stays shared
}

// carry gives what a value is on the other bench.
func (c *carrier) carry(v starlark.Value, depth int) (w starlark.Value, ok bool) {
	if depth > 20 {
		return nil, false
	}
	one := func(x starlark.Value) starlark.Value {
		y, fine := c.carry(x, depth+1)
		ok = ok && fine
		return y
	}
	switch v := v.(type) {
	case starlark.NoneType, starlark.Bool, starlark.Int, starlark.Float, starlark.String, starlark.Bytes, builtins.Instant, *Design:
		return v, true
	case *builtins.Frame:
		return c.frame(v), true
	case builtins.Rules:
		return builtins.Rules{Rules: v.Rules, By: c.by}, true
	case builtins.Part:
		return builtins.Part{Bench: c.to, ID: v.ID}, v.Bench == c.from
	case *builtins.Row:
		return v.On(c.to), v.Bench == c.from
	case *builtins.Probe:
		if v.Bench() != c.from {
			return nil, false
		}
		return c.once(v, func() starlark.Value { return v.On(c.to) }), true
	case *Chained:
		out := one(v.Out)
		w := &Chained{Input: v.Input}
		w.Out, ok = out.(*builtins.Probe)
		return w, ok
	case starlark.Tuple:
		ok = true
		w := make(starlark.Tuple, len(v))
		for i, x := range v {
			w[i] = one(x)
		}
		return w, ok
	case *starlark.List:
		ok = true
		return c.once(v, func() starlark.Value {
			xs := make([]starlark.Value, v.Len())
			for i := range xs {
				xs[i] = one(v.Index(i))
			}
			return starlark.NewList(xs)
		}), ok
	case *starlark.Dict:
		ok = true
		return c.once(v, func() starlark.Value {
			d := starlark.NewDict(v.Len())
			for k, x := range v.Entries() {
				if k, x = one(k), one(x); ok {
					ok = d.SetKey(k, x) == nil
				}
			}
			return d
		}), ok
	case *starlarkstruct.Struct:
		ok = true
		return c.once(v, func() starlark.Value {
			d := starlark.StringDict{}
			for _, name := range v.AttrNames() {
				x, _ := v.Attr(name)
				d[name] = one(x)
			}
			return starlarkstruct.FromStringDict(v.Constructor(), d)
		}), ok
	case *starlark.Function:
		return v, v.NumFreeVars() == 0
	case *starlark.Builtin:
		if f, framed := v.Receiver().(*builtins.Frame); framed {
			return v.BindReceiver(c.frame(f)), true
		}
		return v, v.Receiver() == nil
	}
	return v, v.Type() == "range"
}

// frame is a frame on the other bench.
func (c *carrier) frame(f *builtins.Frame) *builtins.Frame {
	g := *f
	if g.By != nil {
		g.By = c.by
	}
	return &g
}

// once makes what a value becomes, unless it has been made before.
func (c *carrier) once(v starlark.Value, become func() starlark.Value) starlark.Value {
	if w, ok := c.done[v]; ok {
		return w
	}
	w := become()
	c.done[v] = w
	return w
}
