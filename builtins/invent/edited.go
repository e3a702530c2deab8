package invent

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// edit changes a layout. It may run at many places at once.
type edit func(l *layout)

// edited is a function that builds what another builds, takes it apart and places it again, edited. So the machine can be laid any way and tried
// under any rules, as the first one can, and what build gives as its rig is of the parts as they are then.
type edited struct {
	starlark.Callable
	edit edit
	cell func(engine.Cell) engine.Cell // what has become of a cell of the frame; nil: all stay
}

// editedDesign is a design with every machine of it edited, a slice as well as the whole.
func editedDesign(d *trial.Design, e edit) *trial.Design {
	x := *d
	x.Build = &edited{Callable: d.Build, edit: e}
	if d.Slice != nil {
		x.Slice = &edited{Callable: d.Slice, edit: e}
	}
	return &x
}

// CallInternal builds.
func (e *edited) CallInternal(thread *starlark.Thread, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	env := builtins.Of(thread)
	b, last := env.Bench, engine.ID(0)
	for id := range b.Parts() {
		last = id
	}
	rig, err := starlark.Call(thread, e.Callable, args, kwargs)
	if err != nil || env.Bench != b {
		return rig, err
	}
	f, ok := args[0].(*builtins.Frame)
	if !ok {
		return nil, fmt.Errorf("want a frame to build in, got %s", builtins.Show(args[0]))
	}
	l, err := takeApart(b, f, last)
	if err != nil {
		return nil, err
	}
	if err := l.remove(b); err != nil {
		return nil, err
	}
	e.edit(l)
	now, err := l.place(b, f)
	if err != nil {
		return nil, err
	}
	var cell func(engine.Cell) (engine.Cell, bool)
	if e.cell != nil {
		cell = func(c engine.Cell) (engine.Cell, bool) {
			at := f.Local(c)
			to := e.cell(at)
			return f.Cell(to), to != at
		}
	}
	moved, err := trial.Moved(env, rig, f.By, now, cell)
	if err != nil {
		return nil, fmt.Errorf("its rig holds what cannot be carried over to another machine, such as a function with values of its own (%w); want parts, cells, probes and plain values", err)
	}
	return moved, nil
}
