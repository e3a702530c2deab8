package join

import (
	"pulsewright/builtins"
	"pulsewright/engine"
)

// way looks for the shortest row of wires over the cells that are not shut; of several that are as short, for one with the fewest
// corners; of those, for the first by the directions of the frame, so that it turns as the frame does.
type way struct {
	*ground
	dirs    [6]engine.Dir
	low, up engine.Cell // no way need leave the box that holds all shut cells and both ends, and one cell more
	stopped func() error
}

// newWay finds the box.
func newWay(g *ground, f *builtins.Frame, stopped func() error) *way {
	w := &way{ground: g, stopped: stopped, low: g.start.cell, up: g.start.cell}
	if f == nil {
		f = builtins.World
	}
	for i := range w.dirs {
		w.dirs[i] = f.Dir(engine.Dir(i))
	}
	hold := func(c engine.Cell) {
		w.low = engine.Cell{X: min(w.low.X, c.X), Y: min(w.low.Y, c.Y), Z: min(w.low.Z, c.Z)}
		w.up = engine.Cell{X: max(w.up.X, c.X), Y: max(w.up.Y, c.Y), Z: max(w.up.Z, c.Z)}
	}
	hold(g.end.cell)
	for c := range g.shut {
		hold(c)
	}
	one := engine.Cell{X: 1, Y: 1, Z: 1}
	w.low, w.up = w.low.Sub(one), w.up.Add(one)
	for _, n := range [3]*int32{&w.low.X, &w.low.Y, &w.low.Z} {
		*n = max(*n, -engine.Limit)
	}
	for _, n := range [3]*int32{&w.up.X, &w.up.Y, &w.up.Z} {
		*n = min(*n, engine.Limit)
	}
	return w
}

func (w *way) inside(c engine.Cell) bool {
	return w.low.X <= c.X && c.X <= w.up.X && w.low.Y <= c.Y && c.Y <= w.up.Y && w.low.Z <= c.Z && c.Z <= w.up.Z && !w.far(c)
}

// leg is how a cell is reached.
type leg struct {
	cells   int       // of the shortest way that ends here; with toll, what it costs
	corners [6]uint16 // of such a way that comes here by each direction; none: there is none
	from    [6]int8   // by which direction it came to the cell before; -1: the way begins here
}

const none = ^uint16(0)

// first gives the cells in which a way may begin, with the direction in which they lie, 6 for the start itself.
func (w *way) first() (cells []engine.Cell, by []int) {
	if w.start.id == 0 {
		return []engine.Cell{w.start.cell}, []int{6}
	}
	for i, d := range w.dirs {
		if w.start.open[d] {
			cells, by = append(cells, w.start.cell.Add(d.Cell())), append(by, i)
		}
	}
	return cells, by
}

// last reports whether a way may end in c.
func (w *way) last(c engine.Cell) bool {
	if w.end.id == 0 {
		return c == w.end.cell
	}
	return w.end.openTo(c)
}

// shortest gives the cells of the way, from the start on, none if there is none of at most so many.
func (w *way) shortest(most int) ([]engine.Cell, error) {
	legs := map[engine.Cell]*leg{}
	var line, ends []engine.Cell
	reach := func(c engine.Cell, cells int) *leg {
		if l, ok := legs[c]; ok {
			return l
		}
		if _, closed := w.shut[c]; closed || cells > most || !w.inside(c) {
			return nil
		}
		l := &leg{cells: cells, corners: [6]uint16{none, none, none, none, none, none}}
		legs[c] = l
		line = append(line, c)
		return l
	}
	cells, by := w.first()
	for i, c := range cells {
		l := reach(c, 1)
		for d := range 6 {
			if l != nil && (by[i] == d || by[i] == 6) {
				l.corners[d], l.from[d] = 0, -1
			}
		}
	}
	for i := 0; i < len(line); i++ {
		if i%4096 == 4095 {
			if err := w.stopped(); err != nil {
				return nil, err
			}
		}
		c := line[i]
		l := legs[c]
		if len(ends) > 0 && l.cells > legs[ends[0]].cells {
			break
		}
		if w.last(c) {
			ends = append(ends, c)
			continue
		}
		for d := range 6 {
			n := reach(c.Add(w.dirs[d].Cell()), l.cells+1)
			if n == nil || n.cells != l.cells+1 {
				continue
			}
			for a := range 6 {
				if l.corners[a] == none {
					continue
				}
				k := l.corners[a]
				if a != d {
					k++
				}
				if k < n.corners[d] {
					n.corners[d], n.from[d] = k, int8(a)
				}
			}
		}
	}
	return w.back(legs, ends), nil
}

// back walks from the best end to the start.
func (w *way) back(legs map[engine.Cell]*leg, ends []engine.Cell) []engine.Cell {
	var at engine.Cell
	by, best := -1, none
	for _, c := range ends {
		for d, k := range legs[c].corners {
			if k < best {
				at, by, best = c, d, k
			}
		}
	}
	if by < 0 {
		return nil
	}
	cells := make([]engine.Cell, legs[at].cells)
	for i := len(cells) - 1; ; i-- {
		cells[i] = at
		a := legs[at].from[by]
		if a < 0 {
			return cells
		}
		at = at.Sub(w.dirs[by].Cell())
		by = int(a)
	}
}

// barred gives the shut cells, in order, of a way that crosses as few of them as possible.
func (w *way) barred() ([]engine.Cell, error) {
	type mark struct {
		toll   int
		before engine.Cell
		begins bool
	}
	marks := map[engine.Cell]mark{}
	var free, shut []engine.Cell // what is reached at this toll, and at the next
	reach := func(c, before engine.Cell, toll int, begins bool) {
		_, closed := w.shut[c]
		if closed {
			toll++
		}
		if m, ok := marks[c]; ok && m.toll <= toll || !w.inside(c) {
			return
		}
		marks[c] = mark{toll, before, begins}
		if closed {
			shut = append(shut, c)
		} else {
			free = append(free, c)
		}
	}
	cells, _ := w.first()
	for _, c := range cells {
		reach(c, c, 0, true)
	}
	for toll := 0; ; toll++ {
		for i := 0; i < len(free); i++ {
			c := free[i]
			if i%4096 == 4095 {
				if err := w.stopped(); err != nil {
					return nil, err
				}
			}
			if marks[c].toll != toll {
				continue
			}
			if w.last(c) {
				var crossed []engine.Cell
				for {
					if _, closed := w.shut[c]; closed {
						crossed = append([]engine.Cell{c}, crossed...)
					}
					m := marks[c]
					if m.begins {
						return crossed, nil
					}
					c = m.before
				}
			}
			for _, d := range w.dirs {
				reach(c.Add(d.Cell()), c, toll, false)
			}
		}
		if len(shut) == 0 {
			return nil, nil
		}
		free, shut = shut, nil
	}
}
