package trial

import (
	"fmt"
	"iter"

	"pulsewright/builtins"
	"pulsewright/builtins/observe"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Chained is the rig of a chain of slices: a pulse of n steps is fired at the input of the first, and its width taken at
// the output of the last.
type Chained struct {
	starlark.NoneType
	Input engine.Target
	Out   *observe.Probe
}

// Holds gives its probe.
func (rig *Chained) Holds() iter.Seq[starlark.Value] {
	return func(yield func(starlark.Value) bool) { yield(rig.Out) }
}

// chain places so many slices, s1, s2, ..., a pitch apart.
func (t *Rigged) chain() (starlark.Value, error) {
	rig := &Chained{}
	var at engine.Cell
	f := t.Setting.Frame()
	for k := range t.Size {
		ports, err := t.Call(t.Design.Slice, &builtins.Frame{At: f.Cell(at), Axes: f.Axes, Mirror: f.Mirror, Name: fmt.Sprintf("s%d", k+1), By: &t.Env.Inquiry})
		if err != nil {
			return nil, err
		}
		at = at.Add(t.Design.Pitch)
		port := func(name string) (engine.Target, error) {
			if has, ok := ports.(starlark.HasAttrs); ok {
				switch v, _ := has.Attr(name); v := v.(type) {
				case builtins.Part:
					return engine.Target{ID: v.ID}, nil
				default:
					if cell, ok := builtins.AsCell(v); ok {
						return engine.Target{Cell: cell}, nil
					}
				}
			}
			return engine.Target{}, fmt.Errorf("it gives no port .%s that is a part or a cell", name)
		}
		if k == 0 {
			if rig.Input, err = port("input"); err != nil {
				return nil, err
			}
		}
		if k == t.Size-1 {
			out, err := port("output")
			if err != nil {
				return nil, err
			}
			if rig.Out, err = observe.NewProbe(t.Env.Bench, out, ""); err != nil {
				return nil, err
			}
		}
	}
	return rig, nil
}

// fireAt fires a pulse at the input of a chain.
func (t *Rigged) fireAt(rig *Chained, n starlark.Value) error {
	steps, ok := n.(starlark.Int)
	v, fits := steps.Int64()
	if !ok || !fits || v < 0 || v > engine.MaxTicks {
		return fmt.Errorf("a chain of slices is sent widths, numbers of steps; got %s", builtins.Show(n))
	}
	return t.Bench.Fire(rig.Input, engine.Firing{Steps: int(v), Late: t.Setting.Late})
}

// width is that of the last pulse, None if there was none.
func (rig *Chained) width() starlark.Value {
	rig.Out.Looks(observe.AtAll | observe.AtWidth)
	if last, ok := rig.Out.LastPulse(); ok {
		return last.WidthValue()
	}
	return starlark.None
}
