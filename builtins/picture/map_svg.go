package picture

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// Sizes of a map as SVG, in pixels.
const (
	svgTile    = 34
	svgInset   = 4
	svgNumbers = 44     // what the numbers of rows take
	svgTitle   = 18     // what the name of a layer takes
	svgTop     = 42     // that, and the numbers of columns
	svgBare    = 120    // least width without a text below
	svgWide    = 1300   // wider layers are cut into bands
	SvgTiles   = 10_000 // most parts of a picture
)

// Svg draws the map as SVG, one layer below the other.
func (m *chart) Svg() string {
	width, height := 420.0, float64(svgMargin)
	if m.bare && len(m.layers) > 0 {
		width = svgBare
	}
	for range m.layers {
		for n, xs := range m.svgBands() {
			width = max(width, 2*svgMargin+svgNumbers+placesPx(xs))
			height += svgTop + placesPx(m.rows(xs)) + svgBandGap
			if n > 0 {
				height -= svgTitle
			}
		}
	}
	tiles := map[engine.ID]*tile{}
	for i := range m.layers {
		for _, id := range m.layers[i].tiles {
			if id != 0 {
				t := m.look(id)
				tiles[id] = &t
			}
		}
	}
	var notes, names []string
	if !m.unexplained {
		notes, names = m.svgNotes(width), m.svgNames(width)
	}
	height += float64(len(notes)+len(names))*svgLineGap + svgMargin
	if len(m.layers) == 0 {
		height += svgBandGap
	}
	s := NewSVG(width, height, "Map of the bench", fmt.Sprintf("%s of cells, %s%s; each part with its kind, facing and state.", say.Count(len(m.layers), "layer"), m.axesText(), m.atText()))
	y := float64(svgMargin)
	if len(m.layers) == 0 {
		s.Text("title", svgMargin, y+10, "nothing lies on the lattice"+m.atText())
		y += svgBandGap
	}
	for i := range m.layers {
		y = m.svgLayer(s, &m.layers[i], tiles, y)
	}
	for _, n := range names {
		s.Text("", svgMargin, y, n)
		y += svgLineGap
	}
	for _, n := range notes {
		s.Text("dim", svgMargin, y, n)
		y += svgLineGap
	}
	return s.Done()
}

// placesPx is how long a row of places is, in pixels.
func placesPx(ps []place) (w float64) {
	for _, p := range ps {
		w += p.px()
	}
	return w
}

func (p place) px() float64 {
	if p.fold > 0 {
		return svgFold
	}
	return svgTile
}

// svgBands cuts the columns into bands that fit on a page.
func (m *chart) svgBands() (out [][]place) {
	start, used := 0, 0.0
	for i, p := range m.xs {
		if used+p.px() > svgWide {
			out = append(out, m.xs[start:i])
			start, used = i, 0
		}
		used += p.px()
	}
	return append(out, m.xs[start:])
}

// svgLayer draws a layer whose top is y, and gives where the next one may begin.
func (m *chart) svgLayer(s *svg, l *layer, tiles map[engine.ID]*tile, y float64) float64 {
	s.Text("title", svgMargin, y+10, l.String()+m.atText())
	for n, xs := range m.svgBands() {
		if n > 0 {
			y -= svgTitle
		}
		y = m.svgBand(s, l, xs, m.rows(xs), tiles, y+svgTop)
	}
	return y
}

// svgBand draws some columns and rows of a layer below top, and gives where the next one may begin.
func (m *chart) svgBand(s *svg, l *layer, xs, ys []place, tiles map[engine.ID]*tile, top float64) float64 {
	left := float64(svgMargin + svgNumbers)
	right, bottom := left+placesPx(xs), top+placesPx(ys)
	x := left
	for i, p := range xs {
		if p.fold > 0 {
			s.Rect("fold", x, top, p.px(), bottom-top, 0)
			s.Text("dim mid", x+p.px()/2, top-16, fmt.Sprint(p.fold))
			s.Text("dim mid", x+p.px()/2, top-5, "empty")
		} else if i == 0 || p.at%5 == 0 || xs[i-1].fold > 0 || p.at == xs[len(xs)-1].at {
			s.Text("small mid", x+svgTile/2, top-5, fmt.Sprint(p.at))
		}
		s.Line("grid", x, top, x, bottom)
		x += p.px()
	}
	s.Line("grid", right, top, right, bottom)
	at := top
	for _, p := range ys {
		s.Line("grid", left, at, right, at)
		if p.fold > 0 {
			s.Rect("fold", left, at, right-left, p.px(), 0)
			s.Text("dim end", left-6, at+p.px()/2-2, fmt.Sprint(p.fold))
			s.Text("dim end", left-6, at+p.px()/2+9, "empty")
		} else {
			s.Text("small end", left-6, at+svgTile/2+4, fmt.Sprint(p.at))
		}
		at += p.px()
	}
	s.Line("grid", left, bottom, right, bottom)
	// Conductors first, so that their arms lie under the parts.
	for _, pass := range []bool{true, false} {
		at := top
		for _, py := range ys {
			x := left
			for _, px := range xs {
				if px.fold == 0 && py.fold == 0 {
					cell := engine.Cell{X: px.at, Y: py.at, Z: l.z}
					id, there := l.tiles[cell]
					t := tiles[id]
					switch conducts := t != nil && t.conductor(); {
					case conducts != pass:
					case m.slots && there:
						m.svgSlot(s, cell, t, x, at)
					case t != nil:
						m.svgTile(s, t, x, at)
					}
					if !pass {
						m.svgRelated(s, cell, x, at)
					}
				}
				x += px.px()
			}
			at += py.px()
		}
	}
	return bottom + svgBandGap
}

// svgTile draws one cell whose upper left corner is (x, y).
func (m *chart) svgTile(s *svg, t *tile, x, y float64) {
	cx, cy := x+svgTile/2, y+svgTile/2
	s.group(m.tileTitle(t))
	defer s.end()
	switch {
	case t.conductor():
		class := "dead"
		if t.On {
			class = "live"
		}
		arms := ""
		for d := engine.PosX; d <= engine.NegY; d++ {
			if t.arms[d] {
				o := d.Cell()
				arms += "M" + at(cx, cy) + "L" + at(cx+float64(o.X)*svgTile/2, cy-float64(o.Y)*svgTile/2)
			}
		}
		if arms != "" {
			s.path(class, arms)
		}
		if arms == "" || t.On {
			s.Line(class, cx-2, cy, cx+2, cy)
		}
		if t.arms[engine.PosZ] {
			s.Text("small", x+3, y+11, "⊚")
		}
		if t.arms[engine.NegZ] {
			s.Text("small", x+3, y+svgTile-4, "⊗")
		}
		if t.kind == engine.Jack {
			s.Rect(partClass(t.On), cx-9, cy-9, 18, 18, 3)
			s.Text(inkClass(t.On), cx, cy+4, string(t.letter()))
		}
	case t.kind == engine.Bare:
	default:
		s.Rect(partClass(t.on()), x+svgInset, y+svgInset, svgTile-2*svgInset, svgTile-2*svgInset, 4)
		if t.faces() {
			m.svgFacing(s, t, cx, cy)
		}
		s.Text(inkClass(t.on()), cx, cy+4, string(t.letter()))
		switch {
		case t.counts() && t.Tokens > 0:
			s.Text(inkClass(true)+" small", cx+8, cy+12, fmt.Sprint(t.Tokens))
		case t.leveled() && t.Level > 0:
			s.Text(inkClass(true)+" small", cx+8, cy+12, fmt.Sprint(t.Level))
		}
		if t.Armed {
			s.Rect("armed", x+1.5, y+1.5, svgTile-3, svgTile-3, 6)
		}
	}
	if t.Seated != engine.NoSlug {
		px, py := cx, cy
		if t.kind == engine.Jack {
			px, py = x+svgTile-9, y+svgTile-9
		}
		s.circle("slug", px, py, 8)
		if t.Loose {
			s.circle("slug faint", px, py, 11)
		}
		s.Text("slugink mid", px, py+3.5, string(rune(slugLetter(t.Seated))))
	} else if t.Awaits && t.kind == engine.Bare {
		s.circle("slug faint", cx, cy, 8)
	}
	m.svgBadges(s, t, x, y)
}

// svgBadges draws the number of a name and the mark of a tile.
func (m *chart) svgBadges(s *svg, t *tile, x, y float64) {
	if n := m.tags().of[t.id]; n > 0 {
		text, ty := fmt.Sprint(n), y
		if say.Kinds[t.kind].Drawn() {
			ty = y + svgTile - 12
		}
		s.Rect("badge", x, ty, 5+6*float64(len(text)), 12, 3)
		s.Text("tag", x+2.5, ty+9.5, text)
	}
	if mark := t.mark(); mark != "" {
		badge, ink := "badge", "mid small"
		switch {
		case t.Armed:
			badge, ink = "badge armedbadge", "noteink mid"
		case t.Forced:
			badge, ink = "badge livebadge", "width mid"
		}
		s.Rect(badge, x+svgTile-13, y, 12, 13, 3)
		s.Text(ink, x+svgTile-7, y+10, mark)
	}
}

func partClass(on bool) string {
	if on {
		return "on"
	}
	return "part"
}

func inkClass(on bool) string {
	if on {
		return "onink mid"
	}
	return "mid"
}

// svgFacing draws a triangle at the side a part faces; up and down are a ring and a cross.
func (m *chart) svgFacing(s *svg, t *tile, cx, cy float64) {
	class := "face"
	if t.on() {
		class = "faceon"
	}
	const tip, base, half = svgTile/2 - svgInset - 1.5, svgTile/2 - svgInset - 6, 4.5
	switch t.shown {
	case engine.PosX:
		s.path(class, "M"+at(cx+tip, cy)+"L"+at(cx+base, cy-half)+"L"+at(cx+base, cy+half)+"Z")
	case engine.NegX:
		s.path(class, "M"+at(cx-tip, cy)+"L"+at(cx-base, cy-half)+"L"+at(cx-base, cy+half)+"Z")
	case engine.PosY:
		s.path(class, "M"+at(cx, cy-tip)+"L"+at(cx-half, cy-base)+"L"+at(cx+half, cy-base)+"Z")
	case engine.NegY:
		s.path(class, "M"+at(cx, cy+tip)+"L"+at(cx-half, cy+base)+"L"+at(cx+half, cy+base)+"Z")
	case engine.PosZ:
		s.Text(inkClass(t.on()), cx-7, cy+12, "⊚")
	case engine.NegZ:
		s.Text(inkClass(t.on()), cx-7, cy+12, "⊗")
	}
}

// tileTitle is what a reader sees of a part when pointing at it.
func (m *chart) tileTitle(t *tile) string {
	text := m.Bench.Label(t.id)
	if cell, onLattice := m.Bench.CellOf(t.id); onLattice && m.Bench.Name(t.id) != "" {
		text = fmt.Sprintf("%v %s at %v", t.kind, text, cell)
	}
	off, on := builtins.StateWords(t.kind)
	switch {
	case off == "" || t.kind == engine.Bare:
	case t.leveled():
		text += fmt.Sprintf(", level %d", t.Level)
	case t.counts():
		text += ", " + say.Count(t.Tokens, "token")
	case t.on():
		text += ", " + on
	default:
		text += ", " + off
	}
	if t.faces() {
		text += fmt.Sprintf(", faces %v", t.facing)
	}
	if t.Armed {
		text += ", armed"
	}
	switch {
	case t.Loose:
		text += fmt.Sprintf(", a loose %v sits here", t.Seated)
	case t.Seated != engine.NoSlug:
		text += fmt.Sprintf(", a %v sits here", t.Seated)
	}
	return text
}

// svgNotes is the legend as lines below the picture.
func (m *chart) svgNotes(width float64) []string {
	s := &m.seen
	texts := m.kindNotes(func(k engine.Kind) string {
		off, on := builtins.StateWords(k)
		if say.Kinds[k].Drawn() {
			return fmt.Sprintf("thin line: %v, %s · thick line: %v, %s", k, off, k, on)
		}
		return fmt.Sprintf("%c %v %s, %c filled: %s", say.Kinds[k].Letter, k, off, capital(k), on)
	})
	if m.side {
		texts = append(texts, "triangle: where it faces, ⊚ -y, ⊗ +y")
	} else {
		texts = append(texts, "triangle: where it faces, ⊚ up, ⊗ down")
	}
	texts = append(texts, m.markNotes()...)
	if s.loose[engine.Plug] || s.loose[engine.Feed] || s.loose[engine.Bridge] {
		texts = append(texts, "ring: a loose slug, p plug, f feed, b bridge")
	}
	if s.slugs[engine.Plug] || s.slugs[engine.Feed] || s.slugs[engine.Bridge] {
		texts = append(texts, "circle: a slug, p plug, f feed, b bridge")
	}
	if s.awaits {
		texts = append(texts, "dashed circle: a slug is on its way here")
	}
	for _, id := range m.shelf {
		texts = append(texts, "on the shelf: "+say.Clean(m.Bench.Label(id)))
	}
	if note := m.ofNote(); note != "" {
		texts = append([]string{note}, texts...)
	}
	return fillNotes(texts, width)
}
