package trial

import (
	"errors"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/sketch"
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
	c := &carrier{from: o.Bench, to: o.posed.Bench(), by: &t.Env.Inquiry, probes: map[*observe.Probe]*observe.Probe{}}
	rig, err := hold.Until(t.Env.Stopped).NewChanger(c.carry).Of(o.Rig)
	if err != nil {
		return false
	}
	if o.Recipe != t.Recipe && c.to.SetRules(t.Setting.Rules) != nil {
		return false
	}
	t.Bench, t.Asked = c.to, o.Asked
	t.Env.Bench, t.Env.Late = t.Bench, t.Setting.Late
	t.Bench.Aside = &t.Env.Inquiry
	return t.keep(rig) == nil
}

// carrier carries values from one bench to a copy of it.
type carrier struct {
	from, to *engine.Bench
	by       *builtins.Inquiry // what frames and rules lead to on the other bench
	probes   map[*observe.Probe]*observe.Probe
	now      map[engine.ID]engine.ID               // what has become of which part; one that is not in it stays
	cell     func(engine.Cell) (engine.Cell, bool) // what has become of a cell, if it is another now; nil: all stay
}

// Moved gives what a rig is once parts of the bench of its world have become others, and cells too. The error says what cannot be carried over.
func Moved(e *builtins.Env, rig starlark.Value, by *builtins.Inquiry, now map[engine.ID]engine.ID, cell func(engine.Cell) (engine.Cell, bool)) (starlark.Value, error) {
	c := &carrier{from: e.Bench, to: e.Bench, by: by, probes: map[*observe.Probe]*observe.Probe{}, now: now, cell: cell}
	return hold.Until(e.Stopped).NewChanger(c.carry).Of(rig)
}

// id is what has become of a part.
func (c *carrier) id(was engine.ID) engine.ID {
	if id, ok := c.now[was]; ok {
		return id
	}
	return was
}

// ids is what has become of parts.
func (c *carrier) ids(were []engine.ID) []engine.ID {
	if c.now == nil {
		return were
	}
	ids := make([]engine.ID, len(were))
	for i, id := range were {
		ids[i] = c.id(id)
	}
	return ids
}

// errStays is that of a value which cannot be carried over.
var errStays = errors.New("it belongs to its bench")

// carry gives what a value is on the other bench; nil: it is what it holds.
func (c *carrier) carry(h hold.Held) (starlark.Value, error) {
	if hold.Plain(h.Value) {
		return h.Value, nil
	}
	switch v := h.Value.(type) {
	case builtins.Instant, builtins.Worldly, *builtins.OwnKind, *Design:
		return v, nil
	case *builtins.Frame:
		return c.frame(v), nil
	case builtins.Rules:
		return builtins.Rules{Rules: v.Rules, By: c.by}, nil
	case builtins.Part:
		if v.Bench == c.from {
			return builtins.Part{Bench: c.to, ID: c.id(v.ID)}, nil
		}
	case *builtins.Row:
		if v.Bench == c.from {
			return v.On(c.to, c.ids), nil
		}
	case *sketch.Sketch:
		if v.Bench == c.from {
			return v.On(c.to, c.ids), nil
		}
	case *observe.Probe:
		if v.Bench() == c.from {
			return c.probe(v), nil
		}
	case *Chained:
		return &Chained{Input: v.Input, Out: c.probe(v.Out)}, nil
	case starlark.Tuple, *starlark.List, *starlark.Dict, *starlarkstruct.Struct:
		if c.cell == nil {
			return nil, nil
		}
		if at, ok := builtins.AsCell(v); ok {
			if to, moved := c.cell(at); moved {
				return builtins.CellValue(to), nil
			}
		}
		return nil, nil
	case *starlark.Function:
		if v.NumFreeVars() == 0 {
			return v, nil
		}
	case *starlark.Builtin:
		if f, framed := v.Receiver().(*builtins.Frame); framed {
			return v.BindReceiver(c.frame(f)), nil
		} else if v.Receiver() == nil {
			return v, nil
		}
	default:
		if v.Type() == "range" {
			return v, nil
		}
	}
	return nil, errStays
}

// frame is a frame on the other bench.
func (c *carrier) frame(f *builtins.Frame) *builtins.Frame {
	g := *f
	if g.By != nil {
		g.By = c.by
	}
	return &g
}

// probe is a probe on the other bench, one and the same wherever it is held.
func (c *carrier) probe(p *observe.Probe) *observe.Probe {
	q := c.probes[p]
	if q == nil {
		if q = p.On(c.to); c.from == c.to {
			t := p.Target()
			if t.ID = c.id(t.ID); t.ID == 0 && c.cell != nil {
				if to, moved := c.cell(t.Cell); moved {
					t.Cell = to
				}
			}
			q = p.Of(t)
		}
		c.probes[p] = q
	}
	return q
}
