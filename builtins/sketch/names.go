package sketch

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pulsewright/engine"
)

// names writes the names: those that a frame gave by itself and those of rows in short, the others one by one.
func (w *writer) names() {
	done := map[engine.ID]bool{}
	w.frameNames(done)
	var items []string
	named := map[string]int{}
	for i := range w.parts {
		if n := w.parts[i].Name; n != "" && !done[w.parts[i].ID] {
			named[n] = i
		}
	}
	for i := range w.parts {
		p := &w.parts[i]
		if p.Name == "" || done[p.ID] {
			continue
		}
		if base, ok := strings.CutSuffix(p.Name, ".0"); ok {
			if last, ok := w.row(base, i, named, done); ok {
				items = append(items, fmt.Sprintf("%v to %v %s", p.Cell, w.parts[last].Cell, w.quote(base)))
			}
		}
	}
	for i := range w.parts {
		if p := &w.parts[i]; p.Name != "" && !done[p.ID] {
			items = append(items, p.Cell.String()+" "+w.quote(p.Name))
		}
	}
	w.pack("names: ", items, " ", "")
}

// row finds the parts base.0, base.1 and so on, if they stand in a straight line; it notes them and gives the last.
func (w *writer) row(base string, first int, named map[string]int, done map[engine.ID]bool) (last int, ok bool) {
	members := []int{first}
	for {
		next, ok := named[base+"."+strconv.Itoa(len(members))]
		if !ok {
			break
		}
		d := w.parts[next].Cell.Sub(w.parts[members[len(members)-1]].Cell)
		if _, near := engine.DirOf(d); !near {
			break
		}
		if n := len(members); n > 1 && d != w.parts[members[n-1]].Cell.Sub(w.parts[members[n-2]].Cell) {
			break
		}
		members = append(members, next)
	}
	if len(members) < 2 {
		return 0, false
	}
	for _, m := range members {
		done[w.parts[m].ID] = true
	}
	return members[len(members)-1], true
}

// localOf takes a name apart that a frame may have given by itself: r1.lamp(1,0).
func localOf(p *written) (frame string, local engine.Cell, ok bool) {
	dot := strings.LastIndexByte(p.Name, '.')
	if dot < 1 {
		return "", local, false
	}
	rest, ok := strings.CutPrefix(p.Name[dot+1:], kindName(&p.Part)+"(")
	rest, closed := strings.CutSuffix(rest, ")")
	if !ok || !closed {
		return "", local, false
	}
	var n [3]int32
	fields := strings.Split(rest, ",")
	if len(fields) > 3 {
		return "", local, false
	}
	for i, f := range fields {
		if n[i], ok = coordinate(f); !ok {
			return "", local, false
		}
	}
	return p.Name[:dot], engine.Cell{X: n[0], Y: n[1], Z: n[2]}, true
}

// frameNames writes the names that frames gave by themselves, where a box holds all parts of one and no others without a name.
func (w *writer) frameNames(done map[engine.ID]bool) {
	var frames []string
	of := map[string][]int{}
	for i := range w.parts {
		if frame, _, ok := localOf(&w.parts[i]); ok {
			if of[frame] == nil {
				frames = append(frames, frame)
			}
			of[frame] = append(of[frame], i)
		}
	}
	for _, frame := range frames {
		group := of[frame]
		f, ok := w.turned(frame, group)
		if !ok || len(group) < 2 || !w.alone(&f, group) {
			continue
		}
		for _, i := range group {
			done[w.parts[i].ID] = true
		}
		w.lines = append(w.lines, fmt.Sprintf("frame: %s at %v x=%v y=%v z=%v from %v to %v", w.quote(frame), f.origin, f.axes[0], f.axes[1], f.axes[2], f.lo, f.hi))
	}
}

// turned finds how a frame lies whose parts are called so.
func (w *writer) turned(frame string, group []int) (f frameNames, ok bool) {
	f.name = frame
	f.lo, f.hi = w.parts[group[0]].Cell, w.parts[group[0]].Cell
	for _, i := range group {
		c := w.parts[i].Cell
		f.lo = engine.Cell{X: min(f.lo.X, c.X), Y: min(f.lo.Y, c.Y), Z: min(f.lo.Z, c.Z)}
		f.hi = engine.Cell{X: max(f.hi.X, c.X), Y: max(f.hi.Y, c.Y), Z: max(f.hi.Z, c.Z)}
	}
	_, local, _ := localOf(&w.parts[group[0]])
	for x := engine.PosX; x <= engine.NegZ; x++ {
		for y := engine.PosX; y <= engine.NegZ; y++ {
			for z := engine.PosX; z <= engine.NegZ; z++ {
				if x/2 == y/2 || y/2 == z/2 || x/2 == z/2 {
					continue
				}
				f.axes = [3]engine.Dir{x, y, z}
				f.origin = engine.Cell{}
				f.origin = w.parts[group[0]].Cell.Sub(f.turn(local))
				fits := func(i int) bool {
					p := &w.parts[i]
					return f.of(kindName(&p.Part), p.Cell) == p.Name
				}
				if !slices.ContainsFunc(group, func(i int) bool { return !fits(i) }) && f.inside() {
					return f, true
				}
			}
		}
	}
	return f, false
}

// turn is the offset on the bench for one in the frame.
func (f *frameNames) turn(c engine.Cell) (out engine.Cell) {
	for i, n := range [3]int32{c.X, c.Y, c.Z} {
		d := f.axes[i].Cell()
		out = out.Add(engine.Cell{X: n * d.X, Y: n * d.Y, Z: n * d.Z})
	}
	return out
}

func (f *frameNames) inside() bool {
	for _, n := range []int32{f.origin.X, f.origin.Y, f.origin.Z} {
		if n < -engine.Limit || n > engine.Limit {
			return false
		}
	}
	return true
}

// alone reports whether the box of a frame holds no parts that would take a name of it but those of the group.
func (w *writer) alone(f *frameNames, group []int) bool {
	n := 0
	for i := range w.parts {
		p := &w.parts[i]
		c := p.Cell
		if f.lo.X <= c.X && c.X <= f.hi.X && f.lo.Y <= c.Y && c.Y <= f.hi.Y && f.lo.Z <= c.Z && c.Z <= f.hi.Z {
			if _, _, auto := localOf(p); p.Name == "" || auto {
				n++
			}
		}
	}
	return n == len(group)
}
