package builtins

import (
	"fmt"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

var dirNames = []string{"+x", "-x", "+y", "-y", "+z", "-z"}

const wantCell = "a cell (x, y) or (x, y, z)"

// ParseCell reads a cell as scripts write it. On failure it says what came and what is wanted.
func ParseCell(v starlark.Value) (cell engine.Cell, got, want string) {
	var xs [3]starlark.Value
	n := 0
	switch v := v.(type) {
	case starlark.Tuple:
		if n = len(v); n == 2 || n == 3 {
			copy(xs[:], v)
		}
	case *starlark.List:
		if n = v.Len(); n == 2 || n == 3 {
			for i := range n {
				xs[i] = v.Index(i)
			}
		}
	case starlark.String:
		return cell, "string", wantCell
	default:
		return cell, Show(v), wantCell
	}
	if n != 2 && n != 3 {
		return cell, Show(v), wantCell
	}
	var c [3]int32
	for i, x := range xs[:n] {
		num, ok := x.(starlark.Int)
		if !ok {
			return cell, Show(v), wantCell + " of whole numbers"
		}
		k, ok := num.Int64()
		if !ok || k > engine.Limit || k < -engine.Limit {
			return cell, Show(v), fmt.Sprintf("coordinates from -%d to %d", engine.Limit, engine.Limit)
		}
		c[i] = int32(k)
	}
	return engine.Cell{X: c[0], Y: c[1], Z: c[2]}, "", ""
}

// CellValue is a cell as scripts see it: (x, y, z), or (x, y) on the ground, which is the same cell.
func CellValue(c engine.Cell) starlark.Value {
	if c.Z == 0 {
		return starlark.Tuple{starlark.MakeInt(int(c.X)), starlark.MakeInt(int(c.Y))}
	}
	return starlark.Tuple{starlark.MakeInt(int(c.X)), starlark.MakeInt(int(c.Y)), starlark.MakeInt(int(c.Z))}
}

// Cell reads a cell, in the coordinates of the frame if there is one, and gives it in those of the bench.
func (c *Call) Cell(param string) engine.Cell {
	if c.Err != nil {
		return engine.Cell{}
	}
	return c.CellIn(param, c.Value(param))
}

func (c *Call) CellIn(param string, v starlark.Value) engine.Cell {
	cell, got, want := ParseCell(v)
	if want != "" {
		c.Bad(param, got, want)
		return cell
	}
	if c.Frame != nil {
		cell = c.Frame.Cell(cell)
	}
	return cell
}

// Dir reads a direction, as seen in the frame if there is one, and gives it as seen on the bench.
func (c *Call) Dir(param string) engine.Dir {
	if c.Err != nil {
		return 0
	}
	s, ok := c.Value(param).(starlark.String)
	d, known := engine.ParseDir(string(s))
	if !ok || !known {
		c.Bad(param, Show(c.Value(param)), "one of "+strings.Join(dirNames, " ")+say.DidYouMean(string(s), dirNames))
		return 0
	}
	if c.Frame != nil {
		d = c.Frame.Dir(d)
	}
	return d
}

// offsets reads a list of offsets in cells, turned as the frame is.
func (c *Call) offsets(param string) []engine.Cell {
	if c.Err != nil {
		return nil
	}
	it, ok := c.Value(param).(starlark.Iterable)
	if !ok {
		c.Bad(param, Show(c.Value(param)), "a list of offsets such as [(0, -1), (2, 0)]")
		return nil
	}
	offsets := []engine.Cell{} // not nil: no pads at all is something else than the usual ones
	iter := it.Iterate()
	defer iter.Done()
	var v starlark.Value
	for iter.Next(&v) {
		off, got, want := ParseCell(v)
		if want != "" {
			c.Bad(param, got+" in the list", "offsets such as (0, -1) or (0, 0, 1), in cells")
			return nil
		}
		if c.Frame != nil {
			off = c.Frame.Turn(off)
		}
		offsets = append(offsets, off)
	}
	return offsets
}
