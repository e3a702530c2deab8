package invent

import (
	"fmt"
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// change is one thing done to a machine to make it smaller.
type change struct {
	text string
	edit
	cell  func(engine.Cell) engine.Cell // what becomes of cells that the rig knows; nil: they stay
	pitch engine.Cell                   // what is added to the pitch
}

// changed are changes one after the other, as one.
func changed(all []change) change {
	c := change{edit: func(l *layout) {
		for _, o := range all {
			o.edit(l)
		}
	}}
	for _, o := range all {
		c.pitch = c.pitch.Add(o.pitch)
		if o.cell == nil {
			continue
		}
		before, then := c.cell, o.cell
		c.cell = func(at engine.Cell) engine.Cell {
			if before != nil {
				at = before(at)
			}
			return then(at)
		}
	}
	return c
}

// changes lists every single change of a machine that may make it smaller, in the order in which its parts were placed. pitch: that of its slices,
// if it may become less.
func (l *layout) changes(pitch engine.Cell) (all []change) {
	for i := range l.pieces {
		if p := &l.pieces[i]; !p.gone {
			all = append(all, p.changes()...)
		}
	}
	return append(all, l.closings(pitch)...)
}

// called names a part in the log of what was done.
func (p *piece) called() string {
	switch {
	case p.Name != "":
		return p.Name
	case p.shelf > 0:
		return fmt.Sprintf("%v %d of the shelf", p.Kind, p.shelf)
	}
	if p.Spec != nil {
		return fmt.Sprintf("%s %v", p.Spec.Name, p.cell)
	}
	return fmt.Sprintf("%v %v", p.Kind, p.cell)
}

// swaps are the parts that may take the place of another, each with the facing of that.
var swaps = []engine.Part{
	{Kind: engine.Wire}, {Kind: engine.Battery}, {Kind: engine.Link}, {Kind: engine.Reed}, {Kind: engine.Echo}, {Kind: engine.Oneshot}, {Kind: engine.Delay},
	{Kind: engine.Gate, Op: engine.Buf}, {Kind: engine.Gate, Op: engine.Not}, {Kind: engine.Gate, Op: engine.Not, On: true},
}

// changes are those of one part: it is left out, moved by a cell, turned, or of another kind.
func (p *piece) changes() (all []change) {
	at := p.spot()
	add := func(text string, do func(p *piece), cell func(engine.Cell) engine.Cell) {
		all = append(all, change{text: text, cell: cell, edit: func(l *layout) {
			if k := l.find(at); k >= 0 {
				do(&l.pieces[k])
			}
		}})
	}
	if !p.held {
		add(p.called()+" left out", func(p *piece) { p.gone = true }, nil)
	}
	if p.shelf > 0 {
		return all
	}
	for d := engine.PosX; d <= engine.NegZ; d++ {
		to := p.cell.Add(d.Cell())
		add(fmt.Sprintf("%s moved to %v", p.called(), to), func(p *piece) { p.cell = to }, func(c engine.Cell) engine.Cell {
			if c == at.cell {
				return to
			}
			return c
		})
	}
	if faces(p.Part) {
		for d := engine.PosX; d <= engine.NegZ; d++ {
			if d != p.Facing {
				add(fmt.Sprintf("%s turned to %v", p.called(), d), func(p *piece) { p.Facing = d }, nil)
			}
		}
	}
	if p.Kind == engine.Key || p.held {
		return all // a key is pressed, a probe watches
	}
	for _, s := range swaps {
		if s.Kind == p.Kind && s.Op == p.Op && s.On == p.On {
			continue
		}
		as := s.Kind.String()
		if s.Kind == engine.Gate {
			as = fmt.Sprintf("gate %q", s.Op)
			if s.On {
				as += ", on"
			}
		}
		add(fmt.Sprintf("%s made a %s", p.called(), as), func(p *piece) {
			q := s
			q.Facing, q.Name = p.Facing, p.Name
			if s.Kind.Trait().Given && p.Pads != nil {
				q.Pads = p.Pads
			}
			p.Part = q
		}, nil)
	}
	return all
}

// closings take out a plane of cells in which nothing but conductors stands, and pull what lies beyond it nearer by a cell: with it the ports, and
// the next slice as well, if there is a pitch along that axis. Which planes lie between a slice and the next is for a chain of them to tell. What lies
// farther along the pitch comes nearer: so a slice that is built leaves room for the next, which stands as it was until it is edited, too.
func (l *layout) closings(pitch engine.Cell) (all []change) {
	lo, hi, ok := l.box()
	if !ok {
		return nil
	}
	for axis := range 3 {
		d := engine.Dir(2 * axis)
		of := func(c engine.Cell) int32 { return [3]int32{c.X, c.Y, c.Z}[axis] }
		for k := of(lo); k <= of(hi); k++ {
			solid := slices.ContainsFunc(l.pieces, func(p piece) bool {
				return !p.gone && p.shelf == 0 && of(p.cell) == k && (p.held || !p.Kind.Trait().Conducts)
			})
			if solid {
				continue
			}
			n, less := of(pitch), engine.Cell{}.Sub(d.Cell())
			if n < 0 {
				less = d.Cell()
			}
			nearer := func(c engine.Cell) engine.Cell {
				if n < 0 && of(c) < k || n >= 0 && of(c) > k {
					return c.Add(less)
				}
				return c
			}
			c := change{text: fmt.Sprintf("closed up at %s = %d", "xyz"[axis:axis+1], k), cell: nearer, edit: func(l *layout) {
				for i := range l.pieces {
					p := &l.pieces[i]
					p.gone = p.gone || p.shelf == 0 && of(p.cell) == k
					if p.shelf > 0 || p.gone {
						continue
					}
					to := nearer(p.cell)
					if pads := slices.Clone(p.Pads); pads != nil {
						for j, off := range pads {
							pads[j] = nearer(p.cell.Add(off)).Sub(to)
						}
						p.Pads = pads
					}
					p.cell = to
				}
			}}
			all = append(all, c)
			if n != 0 && pitch.Add(less) != (engine.Cell{}) {
				c.text += ", the pitch with it"
				c.pitch = less
				all = append(all, c)
			}
		}
	}
	return all
}

// box is the box around all parts that have a cell, and the loose slugs.
func (l *layout) box() (lo, hi engine.Cell, ok bool) {
	around := func(c engine.Cell) {
		if !ok {
			lo, hi, ok = c, c, true
		}
		lo = engine.Cell{X: min(lo.X, c.X), Y: min(lo.Y, c.Y), Z: min(lo.Z, c.Z)}
		hi = engine.Cell{X: max(hi.X, c.X), Y: max(hi.Y, c.Y), Z: max(hi.Z, c.Z)}
	}
	for i := range l.pieces {
		if p := &l.pieces[i]; !p.gone && p.shelf == 0 {
			around(p.cell)
		}
	}
	for _, c := range l.loose {
		around(c)
	}
	return lo, hi, ok
}

// counted counts the parts, and of them wires and jacks.
func (l *layout) counted() (parts, conductors int64) {
	for i := range l.pieces {
		if p := &l.pieces[i]; !p.gone {
			parts++
			conductors += int64(builtins.BoolInt(p.Kind.Trait().Conducts))
		}
	}
	return parts, conductors
}
