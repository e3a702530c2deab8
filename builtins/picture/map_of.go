package picture

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// OfParam is the part whose pads and readers a map marks.
var OfParam = builtins.Param{Name: "of", Type: "part", Default: "None", Optional: true, Keyword: true, Doc: "marks this part, the cells it reads, and the parts that read it"}

// relation is what a cell of a map is to the part that the map is of.
type relation struct {
	self, pad, live, reader, marked bool
}

// Marked draws a bench with some cells marked, and says what the mark means.
func Marked(e *builtins.Env, cells []engine.Cell, means string) (text string, v starlark.Value, err error) {
	m := &chart{Env: e, related: map[engine.Cell]relation{}, marks: means, bare: true}
	for _, c := range cells {
		m.related[c] = relation{marked: true}
	}
	if err := m.takeIn(everywhere()); err != nil {
		return "", nil, err
	}
	d := m.drawing()
	return d.text, d, nil
}

// markOf notes what is to be marked of a part.
func (m *chart) markOf(id engine.ID) {
	b := m.Bench
	m.of, m.related = id, map[engine.Cell]relation{}
	note := func(at engine.Cell, with func(*relation)) {
		r := m.related[at]
		with(&r)
		m.related[at] = r
	}
	away := func(id engine.ID, text string, with func(*relation)) {
		if at, onLattice := b.CellOf(id); onLattice {
			note(at, with)
		} else if text = builtins.Who(b, id) + " on the shelf " + text; !slices.Contains(m.away, text) {
			m.away = append(m.away, text)
		}
	}
	if at, onLattice := b.CellOf(id); onLattice {
		note(at, func(r *relation) { r.self = true })
	}
	for _, p := range b.Pads(id) {
		if !p.Void || !b.TraitOf(id).Conducts {
			note(p.Cell, func(r *relation) { r.pad, r.live = true, r.live || p.Live })
		}
	}
	for _, c := range b.CordsOf(id) {
		if c.To == id && c.Power {
			away(c.From, "is read by a cord", func(r *relation) { r.pad, r.live = true, r.live || c.Live })
		}
	}
	for _, reader := range b.Readers(id) {
		away(reader.ID, "reads it by a cord", func(r *relation) { r.reader = true })
	}
}

// relations are the signs, in the order in which they are explained.
var relations = []struct {
	sign say.Glyph
	text string
}{{say.GSelf, ""}, {say.GPadDead, "it reads, dead"}, {say.GPadLive, "it reads, live"}, {say.GReader, "reads it"}, {say.GPadReader, "both"}, {say.GMarked, ""}}

// sign is how a relation is drawn.
func (r relation) sign() say.Glyph {
	switch {
	case r.self:
		return say.GSelf
	case r.marked:
		return say.GMarked
	case r.pad && r.reader:
		return say.GPadReader
	case r.reader:
		return say.GReader
	case r.live:
		return say.GPadLive
	}
	return say.GPadDead
}

// ofWide is how many columns a tile has more on a map of a part: one for the sign, and one between.
const ofWide = 2

// relate draws what a cell is to the part behind its tile, and leads the way of a conductor on to the next.
func (m *chart) relate(row *line, at int, l *layer, cell engine.Cell) {
	if m.related == nil {
		return
	}
	if id := l.tiles[cell]; id != 0 {
		if t := m.look(id); t.conductor() && t.arms[engine.PosX] {
			arm := say.GWireArm
			if t.On {
				arm = say.GLiveArm
			}
			for k := range ofWide {
				row.set(at+tileWidth+k, m.Glyph(arm), say.Plain)
			}
		}
	}
	if r, ok := m.related[m.turned(cell)]; ok {
		row.set(at+tileWidth, m.Glyph(r.sign()), say.Name)
	}
}

// ofNote explains the signs that were drawn; "" if the map is of no part.
func (m *chart) ofNote() string {
	if m.marks != "" {
		return string(m.Glyph(say.GMarked)) + " " + m.marks
	}
	if m.of == 0 {
		return ""
	}
	var texts []string
	for _, r := range relations {
		if text := r.text; slices.Contains(m.drawn, r.sign) {
			if r.sign == say.GSelf {
				text = "is it"
			}
			texts = append(texts, string(m.Glyph(r.sign))+" "+text)
		}
	}
	if texts = append(texts, m.away...); len(texts) == 0 {
		texts = []string{"nothing of it lies here"}
	}
	return "of " + say.Clean(builtins.Describe(m.Bench, m.of)) + ": " + strings.Join(texts, "; ")
}

// svgRelated draws what a cell is to the part, over the tile whose upper left corner is (x, y).
func (m *chart) svgRelated(s *svg, cell engine.Cell, x, y float64) {
	cell = m.turned(cell)
	r, ok := m.related[cell]
	if !ok {
		return
	}
	for _, known := range relations {
		if known.sign == r.sign() {
			s.group(fmt.Sprintf("%v: %s", cell, strings.TrimPrefix(known.text+" (the map is of "+builtins.Who(m.Bench, m.of)+")", " ")))
		}
	}
	s.Rect("cursor", x+1, y+1, svgTile-2, svgTile-2, 2)
	s.Text("cursorink mid", x+7, y+svgTile-3, string(say.GlyphTable[r.sign()][0]))
	s.end()
}
