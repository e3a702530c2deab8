package invent

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// boxArg reads a pair of corners.
func boxArg(c *builtins.Call, param string, most int64) (lo, hi engine.Cell) {
	if c.Err != nil {
		return
	}
	pair, ok := c.Value(param).(starlark.Indexable)
	if !ok || pair.Len() != 2 {
		c.Bad(param, builtins.Show(c.Value(param)), "a pair of cells such as ((0, 0), (2, 1))")
		return
	}
	p, q := c.CellIn(param, pair.Index(0)), c.CellIn(param, pair.Index(1))
	lo = engine.Cell{X: min(p.X, q.X), Y: min(p.Y, q.Y), Z: min(p.Z, q.Z)}
	hi = engine.Cell{X: max(p.X, q.X), Y: max(p.Y, q.Y), Z: max(p.Z, q.Z)}
	if n := int64(hi.X-lo.X+1) * int64(hi.Y-lo.Y+1) * int64(hi.Z-lo.Z+1); n > most && c.Err == nil {
		c.Bad(param, fmt.Sprintf("a box of %d cells", n), fmt.Sprintf("at most %d", most))
	}
	return lo, hi
}

func cellsArg(c *builtins.Call, param string) (cells []engine.Cell) {
	if c.Err != nil || !c.Has(param) {
		return nil
	}
	it, ok := c.Value(param).(starlark.Iterable)
	if !ok {
		c.Bad(param, builtins.Show(c.Value(param)), "")
		return nil
	}
	for v := range starlark.Elements(it) {
		cells = append(cells, c.CellIn(param, v))
	}
	return cells
}

// fixedArg has a function place what is fixed, on a bench of its own.
func fixedArg(c *builtins.Call, param string) []piece {
	fn, ok := c.Value(param).(starlark.Callable)
	if !ok {
		c.Bad(param, builtins.Show(c.Value(param)), "")
		return nil
	}
	e := *c.Env
	e.Bench = engine.New(c.Env.Rules())
	thread := &starlark.Thread{Name: "fixed", Load: c.Thread.Load}
	e.Attach(thread)
	if _, err := starlark.Call(thread, fn, starlark.Tuple{builtins.World}, nil); err != nil {
		c.Wrap(err)
		return nil
	}
	l, err := takeApart(e.Bench, builtins.World, 0)
	switch {
	case err != nil:
		c.Wrap(err)
	case len(l.cords) > 0:
		c.Fail("for parameter %s: got parts that are joined by cords, want parts in cells alone", param)
	}
	if c.Err != nil {
		return nil
	}
	for i := range l.pieces {
		p := &l.pieces[i]
		if p.shelf > 0 || p.On && (p.Kind == engine.Oneshot || p.Kind == engine.Echo) || p.Hold > 0 && p.On || p.Keep > 0 {
			c.Fail("for parameter %s: got %s, want parts in cells, posed so that nothing waits for a timer", param, p.called())
			return nil
		}
	}
	return l.pieces
}
