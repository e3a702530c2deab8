package invent

import (
	"fmt"
	"iter"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/trial"
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
	e.Ctx = c.Env.Inside()
	thread := &starlark.Thread{Name: "fixed", Load: c.Thread.Load}
	defer trial.Bound(thread, &e)()
	err := e.TooDeep()
	if err == nil {
		_, err = starlark.Call(thread, fn, starlark.Tuple{builtins.World}, nil)
	}
	if err != nil {
		c.Wrap(err)
		return nil
	}
	if e.Bench.Turns() > 0 || e.Bench.Now().Tick > 0 {
		c.Fail("for parameter %s: got a function that lets time pass, want one that only places", param)
		return nil
	}
	loose := looseIn(e.Bench)
	l, err := takeApart(e.Bench, builtins.World, 0)
	switch {
	case err != nil:
		c.Wrap(err)
	case loose != nil:
		c.Fail("for parameter %s: got a loose slug at %v, want parts alone, with slugs of their own", param, *loose)
	case e.Bench.Rules() != c.Env.Rules():
		c.Fail("for parameter %s: got a function that changes the rules, want one that only places; the search goes by the rules in force", param)
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
	if !e.Bench.Quiet() {
		c.Fail("for parameter %s: got something that is pressed, fired, nudged or has yet to come, want parts at rest: pulses are those of the task", param)
		return nil
	}
	return l.pieces
}

// looseIn is where a loose slug lies on a bench, nil if there is none.
func looseIn(b *engine.Bench) *engine.Cell {
	for _, all := range []iter.Seq[engine.ID]{b.Parts(), b.BareCells()} {
		for id := range all {
			if at, ok := b.CellOf(id); ok && b.State(id).Loose {
				return &at
			}
		}
	}
	return nil
}

// mostSpan is how many cells the box may span with the places where pulses go in and with what is fixed.
const mostSpan = 4096

// span is what a search takes up: the box, where pulses go in and what is fixed.
func (p *searchPlan) span() (lo, hi engine.Cell, cells int64) {
	lo, hi = p.Lo, p.Hi
	grow := func(c engine.Cell) {
		lo = engine.Cell{X: min(lo.X, c.X), Y: min(lo.Y, c.Y), Z: min(lo.Z, c.Z)}
		hi = engine.Cell{X: max(hi.X, c.X), Y: max(hi.Y, c.Y), Z: max(hi.Z, c.Z)}
	}
	for _, c := range p.Task.Into {
		grow(c)
	}
	for _, f := range p.Fixed {
		grow(f.Cell)
	}
	wide := func(from, to int32) int64 { return min(int64(to)-int64(from), 2*engine.Limit) + 1 }
	return lo, hi, wide(lo.X, hi.X) * wide(lo.Y, hi.Y) * wide(lo.Z, hi.Z)
}

// within sees that what is told of cells has to do with the box.
func (p *searchPlan) within(c *builtins.Call) {
	inBox := func(at engine.Cell) bool {
		return at.X >= p.Lo.X && at.X <= p.Hi.X && at.Y >= p.Lo.Y && at.Y <= p.Hi.Y && at.Z >= p.Lo.Z && at.Z <= p.Hi.Z
	}
	stands := func(at engine.Cell) bool {
		return slices.ContainsFunc(p.Fixed, func(f planPiece) bool { return f.Cell == at })
	}
	box := fmt.Sprintf("the box between %v and %v", p.Lo, p.Hi)
	for _, at := range p.Forbidden {
		switch {
		case !inBox(at):
			c.Bad("forbidden", at.String(), "cells of "+box)
		case stands(at):
			c.Bad("forbidden", at.String()+", where a fixed part stands", "cells that are to stay empty")
		}
	}
	for _, at := range p.Task.Out {
		switch {
		case stands(at):
		case !inBox(at):
			c.Fail("for parameter task: nothing can come out at %v, which lies outside %s, want a cell of it, or one in which a fixed part stands", at, box)
		case slices.Contains(p.Forbidden, at):
			c.Fail("for parameter task: nothing can come out at %v, which is forbidden, want a cell in which a part may stand", at)
		case len(p.Task.Into) == 1 && at == p.Task.Into[0]:
			c.Fail("for parameter task: nothing can come out at %v, into which pulses are fired, so that it stays empty, want another cell, or a fixed part there", at)
		}
	}
	if lo, hi, n := p.span(); n > mostSpan {
		c.Fail("the box, where pulses go in and what is fixed span %d cells between %v and %v, want at most %d: bring them together", n, lo, hi, mostSpan)
	}
}
