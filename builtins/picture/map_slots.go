package picture

import (
	"fmt"

	"pulsewright/engine"
)

// A page that plays what happened draws anew those tiles that change. Each has a group of its own then, a slot.

// Slotted says whether drawings of the map, and of other moments of it, have slots.
func (m *chart) Slotted(on bool) { m.slots = on }

// Notes are the names of the parts, and what the signs of a drawing mean, one line each.
func (m *chart) Notes() []string {
	m.Tiles()
	return append(m.svgNames(svgWide), m.svgNotes(svgWide)...)
}

// SvgAlone is Svg without names and legend, and with slots without its instant: it will show others.
func (m *chart) SvgAlone() string {
	n := *m
	n.unexplained, n.bare = true, m.slots
	return n.Svg()
}

// slotName is the name of a cell's slot.
func slotName(cell engine.Cell) string { return fmt.Sprintf("c%d_%d_%d", cell.X, cell.Y, cell.Z) }

// Slot is the name of the slot of a cell of the lattice; "" if the map has none there.
func (m *chart) Slot(at engine.Cell) string {
	at = m.turned(at)
	for i := range m.layers {
		if _, there := m.layers[i].tiles[at]; there {
			return slotName(at)
		}
	}
	return ""
}

// svgSlot draws a tile in its slot, whose upper left corner is (x, y). t is nil where nothing is to be seen.
func (m *chart) svgSlot(s *svg, cell engine.Cell, t *tile, x, y float64) {
	s.WriteString(`<g id="` + slotName(cell) + `" transform="translate(` + at(x, y) + `)">`)
	if t != nil {
		m.svgTile(s, t, 0, 0)
	}
	s.WriteString("</g>\n")
}

// Tiles is what is to be seen on a map, by slot.
type Tiles map[string]tile

// Tiles looks at all cells.
func (m *chart) Tiles() Tiles {
	ts := Tiles{}
	for i := range m.layers {
		for cell, id := range m.layers[i].tiles {
			var t tile
			if id != 0 {
				t = m.look(id)
			}
			ts[slotName(cell)] = t
		}
	}
	return ts
}

// Changed gives what must be drawn anew to make the map show now what before has not shown: for each slot its content.
func (m *chart) Changed(before, now Tiles) map[string]string {
	drawn := map[string]string{}
	for name, t := range now {
		if was := before[name]; was == t {
			continue
		}
		s := new(svg)
		if t.id != 0 {
			m.svgTile(s, &t, 0, 0)
		}
		drawn[name] = s.String()
	}
	return drawn
}
