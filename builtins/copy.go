package builtins

import (
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// copy makes t what o is, on a copy of o's bench and under t's own rules, without building it. It reports false if that
// cannot be: time has passed in building, which a copy would not know of, building asked for rules that are others now,
// or the rig holds something that belongs to its bench and cannot be carried over. o may be at work meanwhile: only what
// stays as built is looked at.
func (t *rigged) copy(o *rigged) bool {
	if o.anew || !o.posed.Unrun() || o.asked != 0 && o.recipe != t.recipe {
		return false
	}
	c := &carrier{from: o.bench, to: o.posed.Bench(), by: &t.env.inquiry, done: map[starlark.Value]starlark.Value{}}
	rig, ok := c.carry(o.rig, 0)
	if !ok {
		return false
	}
	if o.recipe != t.recipe && c.to.SetRules(t.setting.Rules) != nil {
		return false
	}
	t.bench, t.asked = c.to, o.asked
	t.env.Bench, t.env.Late = t.bench, t.setting.Late
	t.bench.Aside = &t.env.inquiry
	t.keep(rig)
	return true
}

// carrier carries values from one bench to a copy of it.
type carrier struct {
	from, to *engine.Bench
	by       *inquiry                          // what frames and rules lead to on the other bench
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
	case starlark.NoneType, starlark.Bool, starlark.Int, starlark.Float, starlark.String, starlark.Bytes, Instant, *Design:
		return v, true
	case *Frame:
		return c.frame(v), true
	case Rules:
		return Rules{v.Rules, c.by}, true
	case Part:
		return Part{c.to, v.ID}, v.Bench == c.from
	case *Row:
		return v.on(c.to), v.bench == c.from
	case *Probe:
		if v.Bench() != c.from {
			return nil, false
		}
		return c.once(v, func() starlark.Value { return v.on(c.to) }), true
	case *chained:
		out := one(v.out)
		w := &chained{input: v.input}
		w.out, ok = out.(*Probe)
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
		if f, framed := v.Receiver().(*Frame); framed {
			return v.BindReceiver(c.frame(f)), true
		}
		return v, v.Receiver() == nil
	}
	return v, v.Type() == "range"
}

// frame is a frame on the other bench.
func (c *carrier) frame(f *Frame) *Frame {
	g := *f
	if g.by != nil {
		g.by = c.by
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
