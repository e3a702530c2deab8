package hold

import (
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// Changer gives values as they are once what lies in them is something else. Lists, dicts and sets are made anew, tuples and structs where
// something in them is another; what is shared stays shared.
type Changer struct {
	round  rounds
	change func(h Held) (starlark.Value, error)
	made   map[any]starlark.Value // what has become of what; nil: it is being made
}

// NewChanger makes a changer. change is asked of a value, then of what it holds: it gives what becomes of it, or nil for a list, tuple, dict, set or
// struct that becomes one of what becomes of its own. Of plain values it is not asked: they stay.
func (u Until) NewChanger(change func(h Held) (starlark.Value, error)) *Changer {
	return &Changer{u.rounds(), change, map[any]starlark.Value{}}
}

// NewChanger is that of an Until that nobody stops.
func NewChanger(change func(h Held) (starlark.Value, error)) *Changer {
	return Until(nil).NewChanger(change)
}

// Of is what becomes of a value. The error is that of change, *TooDeep, or that of who asks to stop.
func (c *Changer) Of(v starlark.Value) (starlark.Value, error) { return c.changed(Held{Value: v}) }

func (c *Changer) changed(h Held) (starlark.Value, error) {
	if Plain(h.Value) {
		return h.Value, nil
	}
	id := identity(h.Value)
	if w, ok := c.made[id]; ok && id != nil {
		if w == nil {
			return nil, &TooDeep{h.Value.Type()} // a tuple or a struct that lies in itself
		}
		return w, nil
	}
	w, err := c.change(h)
	if err == nil && w == nil {
		if h.Depth >= Deepest {
			return nil, &TooDeep{h.Value.Type()}
		}
		w, err = c.inside(h, id)
	}
	if err == nil && id != nil && !(small(w) && Same(w, h.Value)) {
		c.made[id] = w
	}
	return w, err
}

// inside makes a value of what becomes of what it holds.
func (c *Changer) inside(h Held, id any) (starlark.Value, error) {
	if ok, err := c.round.flat(h.Value); err != nil {
		return nil, err
	} else if list, is := h.Value.(*starlark.List); ok && is {
		return list.Slice(0, list.Len(), 1), nil
	} else if ok {
		return h.Value, nil
	}
	var put func(x Held) error
	another := false
	var become func() starlark.Value
	switch v := h.Value.(type) {
	case *starlark.List:
		w := starlark.NewList(make([]starlark.Value, 0, v.Len()))
		c.made[id] = w // before it is filled: it may hold itself
		put, become = func(x Held) error { return w.Append(x.Value) }, func() starlark.Value { return w }
	case *starlark.Set:
		w := starlark.NewSet(v.Len())
		c.made[id] = w
		put, become = func(x Held) error { return w.Insert(x.Value) }, func() starlark.Value { return w }
	case *starlark.Dict:
		w := starlark.NewDict(v.Len())
		c.made[id] = w
		var key starlark.Value
		put, become = func(x Held) error {
			if x.Way == Key {
				key = x.Value
				return nil
			}
			return w.SetKey(key, x.Value)
		}, func() starlark.Value { return w }
	case starlark.Tuple:
		w := make(starlark.Tuple, 0, len(v))
		if id != nil {
			c.made[id] = nil
		}
		put, become = func(x Held) error { w = append(w, x.Value); return nil }, func() starlark.Value { return w }
	case *starlarkstruct.Struct:
		w := starlark.StringDict{}
		c.made[id] = nil
		put, become = func(x Held) error { w[x.Name] = x.Value; return nil }, func() starlark.Value { return starlarkstruct.FromStringDict(v.Constructor(), w) }
	default:
		return h.Value, nil
	}
	holder := h
	for x := range Holds(h.Value) {
		if err := c.round.next(); err != nil {
			return nil, err
		}
		if !Plain(x.Value) {
			was := x.Value
			x.In, x.Depth = &holder, h.Depth+1
			w, err := c.changed(x)
			if err != nil {
				return nil, err
			}
			another = another || !Same(was, w)
			x.Value = w
		}
		if err := put(x); err != nil {
			return nil, err
		}
	}
	switch h.Value.(type) {
	case starlark.Tuple, *starlarkstruct.Struct:
		if !another {
			return h.Value, nil
		}
	}
	return become(), nil
}

// Same reports whether two values are one and the same, without looking into them; false is always safe.
func Same(a, b starlark.Value) bool {
	t, ok := a.(starlark.Tuple)
	u, both := b.(starlark.Tuple)
	if ok || both {
		return ok && both && len(t) == len(u) && (len(t) == 0 || &t[0] == &u[0])
	}
	defer func() { _ = recover() }() // a kind of value that cannot be compared
	return a == b
}
