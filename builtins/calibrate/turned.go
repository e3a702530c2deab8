package calibrate

import (
	"slices"

	"pulsewright/engine"
)

// turning says where each direction goes: one of 48 ways to lay a rig.
type turning [6]engine.Dir

// turnings are all 48, the one that leaves all as it is first.
func turnings() (all []turning) {
	for x := engine.PosX; x <= engine.NegZ; x++ {
		for y := engine.PosX; y <= engine.NegZ; y++ {
			for z := engine.PosX; z <= engine.NegZ; z++ {
				if x/2 != y/2 && y/2 != z/2 && x/2 != z/2 {
					all = append(all, turning{x, x.Opposite(), y, y.Opposite(), z, z.Opposite()})
				}
			}
		}
	}
	return all
}

// back is the order that is turned into this one.
func (t turning) back(order [6]engine.Dir) (o [6]engine.Dir) {
	for i, to := range order {
		for d := range t {
			if t[d] == to {
				o[i] = engine.Dir(d)
			}
		}
	}
	return o
}

// cell is where a cell goes.
func (t turning) cell(c engine.Cell) (to engine.Cell) {
	for d, n := range map[engine.Dir]int32{engine.PosX: c.X, engine.PosY: c.Y, engine.PosZ: c.Z} {
		o := t[d].Cell()
		to = to.Add(engine.Cell{X: n * o.X, Y: n * o.Y, Z: n * o.Z})
	}
	return to
}

// turned is the rig laid another way.
func (r *Rig) turned(t turning) *Rig {
	n := *r
	n.parts = slices.Clone(r.parts)
	for i := range n.parts {
		p := &n.parts[i]
		p.at, p.Facing = t.cell(p.at), t[p.Facing]
	}
	return &n
}
