package kinds

import "fmt"

// Cell is a place on the lattice; z is up.
type Cell struct{ X, Y, Z int32 }

// Add returns c moved by d.
func (c Cell) Add(d Cell) Cell { return Cell{c.X + d.X, c.Y + d.Y, c.Z + d.Z} }

// Sub returns the offset that leads from d to c.
func (c Cell) Sub(d Cell) Cell { return Cell{c.X - d.X, c.Y - d.Y, c.Z - d.Z} }

// String writes the cell as a script would: (x, y) on the ground, else (x, y, z).
func (c Cell) String() string {
	if c.Z == 0 {
		return fmt.Sprintf("(%d, %d)", c.X, c.Y)
	}
	return fmt.Sprintf("(%d, %d, %d)", c.X, c.Y, c.Z)
}

// Limit is the largest coordinate, in either direction.
const Limit = 1 << 28

// Inside reports whether the cell is on the lattice.
func (c Cell) Inside() bool {
	return -Limit <= c.X && c.X <= Limit && -Limit <= c.Y && c.Y <= Limit && -Limit <= c.Z && c.Z <= Limit
}

// Dir is one of the six directions. The zero value is +x.
type Dir uint8

// The directions, in the default neighbour order.
const (
	PosX Dir = iota
	NegX
	PosY
	NegY
	PosZ
	NegZ
)

var dirNames = [6]string{"+x", "-x", "+y", "-y", "+z", "-z"}

// Offsets are the cells one further in each direction, by Dir.
var Offsets = [6]Cell{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}

// Opposite returns the other way.
func (d Dir) Opposite() Dir { return d ^ 1 }

// Cell returns the offset of one cell in direction d.
func (d Dir) Cell() Cell { return Offsets[d] }

// String returns the direction as scripts write it, such as "+x".
func (d Dir) String() string {
	if d > NegZ {
		return "?"
	}
	return dirNames[d]
}

// ParseDir reads a direction as scripts write it.
func ParseDir(s string) (Dir, bool) {
	for i, n := range dirNames {
		if n == s {
			return Dir(i), true
		}
	}
	return 0, false
}

// DirOf returns the direction of a step of one cell, if c is one.
func DirOf(c Cell) (Dir, bool) {
	for i, d := range Offsets {
		if d == c {
			return Dir(i), true
		}
	}
	return 0, false
}
