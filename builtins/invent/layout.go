package invent

import (
	"errors"
	"fmt"
	"iter"
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// layout is what a machine is made of, in cells and directions of a frame, in the order in which it was placed. Taken apart in one frame and placed
// in another it is the same machine, laid another way.
type layout struct {
	pieces []piece
	cords  []joint
	slugs  []looseSlug   // put beside those that were found
	loose  []engine.Cell // where slugs of no shuttle were found: they stay
}

// looseSlug is a slug of no shuttle.
type looseSlug struct {
	cell engine.Cell
	what engine.Slug
}

// piece is one part of a layout, posed as it was found.
type piece struct {
	engine.Part
	cell  engine.Cell // of the frame
	shelf int         // counted from 1 among those without a cell; 0: it has one
	was   engine.ID   // as which it was found
	gone  bool        // it was left out
	held  bool        // a probe watches it
}

// joint is a cord between two pieces, by number.
type joint struct {
	from, to int
	engine.Cord
	gone bool
}

// takeApart reads what was placed on a bench after one of its parts, through a frame. It changes nothing.
func takeApart(b *engine.Bench, f *builtins.Frame, after engine.ID) (*layout, error) {
	if b.Turns() > 0 {
		return nil, errors.New("build lets time pass, and what stands then cannot be taken apart and placed again; want a build that only places")
	}
	l, at, shelved := &layout{}, map[engine.ID]int{}, 0
	for id := range b.Parts() {
		if id <= after {
			continue
		}
		t := b.Thing(id)
		p := piece{Part: posedAs(t.Part, b.State(id)), was: id}
		if t.Shelf {
			shelved++
			p.shelf = shelved
		} else {
			p.toFrame(f, t.Cell)
		}
		at[id] = len(l.pieces)
		l.pieces = append(l.pieces, p)
	}
	for _, c := range b.Cords() {
		from, ok := at[c.From]
		to, also := at[c.To]
		switch {
		case ok && also:
			l.cords = append(l.cords, joint{from: from, to: to, Cord: c.Cord})
		case ok != also:
			return nil, errors.New("a cord leads from it to a part that it did not place")
		}
	}
	return l, nil
}

// looseCells are the cells of a frame in which a slug sits that belongs to no shuttle.
func looseCells(b *engine.Bench, f *builtins.Frame) (all []engine.Cell) {
	for _, ids := range []iter.Seq[engine.ID]{b.Parts(), b.BareCells()} {
		for id := range ids {
			if at, onLattice := b.CellOf(id); onLattice && b.State(id).Loose {
				all = append(all, f.Local(at))
			}
		}
	}
	return all
}

// posedAs is a part with the pose it stands in.
func posedAs(p engine.Part, s engine.State) engine.Part {
	switch p.Kind {
	case engine.Link, engine.Shuttle:
		p.Out = s.On
	case engine.Bucket, engine.Tray:
		p.Tokens = s.Tokens
	case engine.Meter:
		p.Level = s.Level
	case engine.Told:
	default:
		p.On = s.On && p.Kind.Trait().Shows == engine.ShowsState && !p.Kind.Trait().Conducts
	}
	return p
}

// usualFar is where the far pad of a part lies, as the bench has it, if nothing else is said.
func usualFar(k engine.Kind, facing engine.Dir) engine.Dir { return k.Trait().Far.Dir(facing) }

// toFrame turns a part as the bench has it into one as the frame has it. A far pad that lies where it does anyway is not named: a bucket's
// lies below it however the frame does.
func (p *piece) toFrame(f *builtins.Frame, cell engine.Cell) {
	p.cell = f.Local(cell)
	if p.FarSet && p.Far == usualFar(p.Kind, p.Facing) {
		p.FarSet, p.Far = false, 0
	}
	p.turn(func(c engine.Cell) engine.Cell { return f.Local(f.At.Add(c)) })
}

// onBench is the part as the bench has it.
func (p *piece) onBench(f *builtins.Frame) engine.Part {
	q := *p
	q.turn(f.Turn)
	return q.Part
}

// turn turns what of a part points somewhere.
func (p *piece) turn(off func(engine.Cell) engine.Cell) {
	p.Facing, _ = engine.DirOf(off(p.Facing.Cell()))
	if p.FarSet {
		p.Far, _ = engine.DirOf(off(p.Far.Cell()))
	}
	if p.Pads != nil {
		pads := make([]engine.Cell, len(p.Pads))
		for i, c := range p.Pads {
			pads[i] = off(c)
		}
		p.Pads = pads
	}
}

// unfit is the error of a layout that cannot be placed: two parts want one cell, or a cord ends where none can.
type unfit struct{ err error }

func (e *unfit) Error() string { return e.err.Error() }
func (e *unfit) Unwrap() error { return e.err }

// place places a layout and tells which of its parts have become which. What is left out is nowhere.
func (l *layout) place(b *engine.Bench, f *builtins.Frame) (map[engine.ID]engine.ID, error) {
	now := map[engine.ID]engine.ID{}
	ids := make([]engine.ID, len(l.pieces))
	for i := range l.pieces {
		p := &l.pieces[i]
		var err error
		switch {
		case p.gone:
		case p.shelf > 0:
			ids[i], err = b.Shelve(p.Part)
		default:
			ids[i], err = b.Place(f.Cell(p.cell), p.onBench(f))
		}
		if err != nil {
			return nil, &unfit{err}
		}
		if ids[i] != 0 && p.was != 0 {
			now[p.was] = ids[i]
		}
	}
	for _, s := range l.slugs {
		if err := b.PutSlug(f.Cell(s.cell), s.what); err != nil {
			return nil, &unfit{err}
		}
	}
	for _, c := range l.cords {
		if c.gone || ids[c.from] == 0 || ids[c.to] == 0 {
			continue
		}
		if err := b.Patch(ids[c.from], ids[c.to], c.Cord); err != nil {
			return nil, &unfit{err}
		}
	}
	return now, nil
}

// remove takes what a layout was read from off its bench.
func (l *layout) remove(b *engine.Bench) error {
	for i := range slices.Backward(l.pieces) {
		if err := b.Remove(l.pieces[i].was); err != nil {
			return fmt.Errorf("it cannot be taken apart: %w", err)
		}
	}
	return nil
}

// clone is a layout that can be edited by itself.
func (l *layout) clone() *layout {
	return &layout{slices.Clone(l.pieces), slices.Clone(l.cords), slices.Clone(l.slugs), l.loose}
}

// spot says which part is meant, in every machine that is built alike: by its cell, or by its place on the shelf.
type spot struct {
	cell  engine.Cell
	shelf int
}

func (p *piece) spot() spot { return spot{p.cell, p.shelf} }

// find is the number of the part that stands at a spot; -1: none does.
func (l *layout) find(s spot) int {
	return slices.IndexFunc(l.pieces, func(p piece) bool { return !p.gone && p.spot() == s })
}
