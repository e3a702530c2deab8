package builtins

import (
	"fmt"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// chained is the rig of a chain of slices: a pulse of n steps is fired at the input of the first, and its width taken at
// the output of the last.
type chained struct {
	starlark.NoneType
	input engine.Target
	out   *Probe
}

// chain places so many slices, s1, s2, ..., a pitch apart.
func (t *rigged) chain() (starlark.Value, error) {
	rig := &chained{}
	var at engine.Cell
	f := t.setting.frame()
	for k := range t.size {
		ports, err := t.call(t.m.slice, &Frame{at: f.Cell(at), axes: f.axes, mirror: f.mirror, name: fmt.Sprintf("s%d", k+1), by: &t.env.inquiry})
		if err != nil {
			return nil, err
		}
		at = at.Add(t.m.pitch)
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
		if k == t.size-1 {
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
func (t *rigged) fireAt(rig *chained, n starlark.Value) error {
	steps, ok := n.(starlark.Int)
	v, fits := steps.Int64()
	if !ok || !fits || v < 0 || v > engine.MaxTicks {
		return fmt.Errorf("a chain of slices is sent widths, numbers of steps; got %s", show(n))
	}
	return t.bench.Fire(rig.input, engine.Firing{Steps: int(v), Late: t.setting.Late})
}

// width is that of the last pulse, None if there was none.
func (rig *chained) width() starlark.Value {
	rig.out.looks(atAll | atWidth)
	if ps := rig.out.Pulses(); len(ps) > 0 {
		return ps[len(ps)-1].widthValue()
	}
	return starlark.None
}
