package picture

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// View is the piece of a map that a screen shows. It stays where it is as long as what is looked at lies in it: nothing moves on the screen but
// what moves on the bench. The zero value begins at the first column of the highest row.
type View struct{ x, y, layer int }

// Board draws the piece of a map around a cell that fits into so many columns and rows, without a legend. All layers are drawn if they have room, else the
// one of that cell.
func (m *chart) Board(columns, rows int, v *View, focus engine.Cell) string {
	if len(m.layers) == 0 {
		return "nothing lies on the lattice" + m.atText()
	}
	focus = m.turned(focus)
	names, beyond := m.margins()
	room := max(columns-names-1-beyond, tileWidth)
	width := func(p place) int { return p.width() }
	line := func(place) int { return 1 }
	for i := range m.layers {
		if m.layers[i].z == focus.Z {
			v.layer = i
		}
	}
	v.layer = min(v.layer, len(m.layers)-1)
	xs := window(m.xs, &v.x, room, width, focus.X)
	all := len(m.layers) * (2 + len(m.ys))
	high := len(m.ys)
	if all > rows {
		high = max(rows-2, 1)
	}
	ys := window(m.ys, &v.y, high, line, focus.Y)
	var out strings.Builder
	for i := range m.layers {
		if all > rows && i != v.layer {
			continue
		}
		head := m.layers[i].String()
		if i == 0 || all > rows {
			head += m.atText()
		}
		if all > rows && len(m.layers) > 1 {
			head += fmt.Sprintf("   one of %d layers", len(m.layers))
		}
		if len(xs) < len(m.xs) || len(ys) < len(m.ys) {
			head += "   a piece"
		}
		if i == 0 || all > rows {
			head += "   " + m.axesText()
		}
		out.WriteString(m.Paint.Apply(say.Title, m.Label(head, columns)) + "\n")
		left := high
		m.pieceText(&out, &m.layers[i], xs, ys, &left)
	}
	return strings.TrimRight(out.String(), "\n")
}

// Explained is what stands below a board that leaves so many columns and rows free: the names of the parts and the signs, or the signs alone, or nothing.
func (m *chart) Explained(columns, rows int) []string {
	var names, signs strings.Builder
	plain, env := *m, *m.Env // colours have no width
	env.Paint = say.Paint{}
	plain.Env = &env
	plain.legend(&signs)
	plain.textNames(&names)
	for _, text := range []string{signs.String() + names.String(), signs.String()} {
		lines := strings.Split(strings.Trim(text, "\n"), "\n")
		wide := func(line string) bool { return say.Columns(line) > columns }
		if text != "" && len(lines) <= rows && !slices.ContainsFunc(lines, wide) {
			for i, line := range lines {
				lines[i] = m.Paint.Apply(say.Dim, line)
			}
			return lines
		}
	}
	return nil
}

// window are the places from start on that fit into the room. It moves only if it must, so that the place at a coordinate lies in its middle.
func window(ps []place, start *int, room int, width func(place) int, at int32) []place {
	end := func(from int) int {
		used, i := 0, from
		for i < len(ps) && (used+width(ps[i]) <= room || i == from) {
			used += width(ps[i])
			i++
		}
		return i
	}
	if end(0) == len(ps) {
		*start = 0
		return ps
	}
	*start = min(*start, len(ps)-1)
	for i, p := range ps {
		if p.fold > 0 || p.at != at || i >= *start && i < end(*start) {
			continue
		}
		*start = i
		for used := 0; *start > 0 && used+width(ps[*start-1]) <= room/2; *start-- {
			used += width(ps[*start-1])
		}
	}
	for *start > 0 && end(*start-1) == len(ps) {
		*start--
	}
	return ps[*start:end(*start)]
}
