package picture

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

const (
	tileWidth = 3   // columns of a tile: kind, facing, mark
	mapRows   = 400 // most rows shown
	mapLines  = 60  // most lines of the legend for sketch shown
	noLegend  = -1  // for none
)

// text draws the map for a terminal. Layers wider than the terminal are cut into bands; of more rows or lines of the legend than
// given there is a remark. It tells whether all had room.
func (m *chart) text(mostRows, mostLines int) (text string, whole bool) {
	var out strings.Builder
	if len(m.layers) == 0 && len(m.shelf) == 0 {
		if m.crop {
			return "nothing lies there", true
		}
		return "the bench is empty", true
	}
	rows := mostRows
	whole = true
	hidden := func(format string, args ...any) {
		out.WriteString(m.Paint.Apply(say.Warn, "the rest is not shown ("+fmt.Sprintf(format, args...)+"): choose with z=, box= or frame=; .text of the map is all of it") + "\n")
		whole = false
	}
	for i := range m.layers {
		l := &m.layers[i]
		if i > 0 {
			out.WriteByte('\n')
		}
		head := l.String()
		if i == 0 {
			head += "   " + m.axesText() + m.atText()
		}
		out.WriteString(m.Paint.Apply(say.Title, head) + "\n")
		if !m.layerText(&out, l, &rows) {
			if rows >= 0 { // stopped by Ctrl-C
				return "", false
			}
			hidden("%d rows at most", mostRows)
			break
		}
	}
	m.shelfText(&out)
	out.WriteByte('\n')
	if note := m.ofNote(); note != "" {
		out.WriteString(m.Wrap(note, "") + "\n")
	}
	m.legend(&out)
	if mostLines == noLegend {
		m.textNames(&out)
	}
	if mostLines == noLegend || !whole {
		return strings.TrimRight(out.String(), "\n"), whole
	}
	if lines := m.unseen(); len(lines) > 0 {
		out.WriteString("\n" + m.Paint.Apply(say.Title, "legend") + "\n")
		for i, line := range lines {
			if i == mostLines {
				hidden("%s of the legend", say.Count(len(lines)-i, "line"))
				break
			}
			out.WriteString(m.Paint.Apply(say.Dim, line) + "\n")
		}
	}
	return strings.TrimRight(out.String(), "\n"), whole
}

// foldText is what stands for a fold of columns.
func (p place) foldText() string { return strings.Repeat(" ", p.more) + fmt.Sprintf(" ~%d~ ", p.fold) }

func (p place) width() int {
	if p.fold > 0 {
		return len(p.foldText())
	}
	return tileWidth + p.wide
}

// margins are the columns that the numbers of the rows take on the left, and those that the number of the last column may reach beyond it.
func (m *chart) margins() (names, beyond int) {
	names = 1
	for _, y := range ends(m.ys) {
		names = max(names, len(fmt.Sprint(y.at)))
	}
	for _, x := range ends(m.xs) {
		beyond = max(beyond, len(fmt.Sprint(x.at))-tileWidth)
	}
	return names, beyond
}

// ends are the first and the last of some columns or rows: no number between theirs is longer than both.
func ends(all []place) []place {
	if len(all) < 2 {
		return all
	}
	return []place{all[0], all[len(all)-1]}
}

// layerText draws one layer in so many rows, which it counts down, and reports whether all of it had room.
func (m *chart) layerText(out *strings.Builder, l *layer, rows *int) bool {
	names, beyond := m.margins()
	room := max(m.Columns()-names-1-beyond, tileWidth)
	for start := 0; start < len(m.xs); {
		end := fitting(m.xs, start, room)
		if start > 0 {
			out.WriteByte('\n')
		}
		xs := m.xs[start:end]
		if !m.pieceText(out, l, xs, m.rows(xs), rows) {
			return false
		}
		start = end
	}
	return true
}

// fitting is behind how many of some columns the room ends, from start on: one at least.
func fitting(xs []place, start, room int) (end int) {
	end, used := start, 0
	for end < len(xs) && (used+xs[end].width() <= room || end == start) {
		used += xs[end].width()
		end++
	}
	return end
}

// pieceText draws some columns and rows of a layer, in so many rows at most, which it counts down.
func (m *chart) pieceText(out *strings.Builder, l *layer, xs, ys []place, rows *int) bool {
	names, beyond := m.margins()
	used := 0
	for _, x := range xs {
		used += x.width()
	}
	m.put(out, names, "", xLabels(xs, used+beyond))
	for _, y := range ys {
		if *rows--; *rows < 0 || *rows%256 == 255 && m.Stopped() != nil {
			return false
		}
		if y.fold > 0 {
			out.WriteString(strings.Repeat(" ", names+1) + m.Paint.Apply(say.Dim, fmt.Sprintf("~ %s without parts", say.Count(int(y.fold), "row"))) + "\n")
			continue
		}
		row := newLine(used, ' ')
		at := 0
		for _, x := range xs {
			if x.fold == 0 {
				m.tile(row, at, l, engine.Cell{X: x.at, Y: y.at, Z: l.z})
				m.relate(row, at, l, engine.Cell{X: x.at, Y: y.at, Z: l.z})
			}
			at += x.width()
		}
		m.put(out, names, fmt.Sprint(y.at), row)
	}
	return true
}

// rows are the rows of a band: those above the first and below the last that hold something in these columns, in any
// layer, are left out.
func (m *chart) rows(xs []place) []place {
	holds := func(y place) bool {
		for _, x := range xs {
			if m.besides[[2]int32{x.at, y.at}] && x.fold == 0 && y.fold == 0 {
				return true
			}
			for i := range m.layers {
				if _, ok := m.layers[i].tiles[engine.Cell{X: x.at, Y: y.at, Z: m.layers[i].z}]; ok && x.fold == 0 && y.fold == 0 {
					return true
				}
			}
		}
		return false
	}
	first, last := 0, len(m.ys)
	for first < last && !holds(m.ys[first]) {
		first++
	}
	for first < last && !holds(m.ys[last-1]) {
		last--
	}
	return m.ys[first:last]
}

func (m *chart) put(out *strings.Builder, names int, head string, l *line) {
	out.WriteString(m.Paint.Apply(say.Dim, say.Align(head, names, "right", " ")) + " " + l.dressed(m.Paint) + "\n")
}

// xLabels numbers every fifth column, the first one, and the folds.
func xLabels(xs []place, width int) *line {
	l := newLine(width, ' ')
	at, end := 0, 0
	for i, x := range xs {
		text := fmt.Sprint(x.at)
		switch {
		case x.fold > 0:
			l.write(at+x.more, x.foldText()[x.more:], say.Dim)
			end = at + x.width()
		case at >= end && (i == 0 || x.at%5 == 0 || xs[i-1].fold > 0):
			if l.write(at, text, say.Dim) {
				end = at + len(text) + 1
			}
		}
		at += x.width()
	}
	return l
}

var facingGlyphs = [6]say.Glyph{say.GEast, say.GWest, say.GNorth, say.GSouth, say.GUp, say.GDown}

// tile draws one cell, three columns wide.
func (m *chart) tile(row *line, at int, l *layer, cell engine.Cell) {
	id := l.tiles[cell]
	if id == 0 {
		row.set(at+1, m.Glyph(say.GEmpty), say.Dim)
		return
	}
	t := m.look(id)
	style := say.Plain
	if t.on() {
		style = say.Rise
	}
	switch {
	case t.kind == engine.Bare:
		if t.Seated != engine.NoSlug || t.Awaits {
			row.write(at, "( )", say.Plain)
			if t.Loose {
				row.write(at, "[ ]", say.Plain)
			}
			if t.Seated != engine.NoSlug {
				row.set(at+1, rune(slugLetter(t.Seated)), say.Name)
			}
		}
		if t.Forced {
			row.set(at+2, '*', say.Rise)
		}
		return
	case t.conductor():
		node, arm := say.GWire, say.GWireArm
		if t.On {
			node, arm = say.GLive, say.GLiveArm
		}
		row.set(at+1, m.Glyph(node), style)
		if t.arms[engine.NegX] {
			row.set(at, m.Glyph(arm), style)
		}
		if t.arms[engine.PosX] {
			row.set(at+2, m.Glyph(arm), style)
		}
		if t.kind == engine.Jack {
			row.set(at+1, t.letter(), style)
			if t.Seated != engine.NoSlug {
				row.set(at+2, rune(slugLetter(t.Seated)), say.Name)
				if t.Loose {
					row.set(at, '[', say.Plain)
				}
			}
		}
		if mark := t.mark(); mark != "" {
			row.set(at+2, rune(mark[0]), say.Rise)
		}
		return
	}
	row.set(at, t.letter(), style)
	switch {
	case t.faces():
		row.set(at+1, m.Glyph(facingGlyphs[t.shown]), style)
	case t.counts():
		row.set(at+1, digit(m.Env, t.Tokens), style)
	}
	if mark := t.mark(); mark != "" {
		s := say.Number
		if t.Armed {
			s = say.Armed
			for k := at; k < at+2; k++ {
				row.styles[k] = say.Armed
			}
		}
		row.set(at+2, rune(mark[0]), s)
	} else if t.leveled() && t.Level > 0 {
		row.set(at+2, digit(m.Env, t.Level), style)
	}
}

// shelfText lists the parts without a place.
func (m *chart) shelfText(out *strings.Builder) {
	if len(m.shelf) == 0 {
		return
	}
	if len(m.layers) > 0 {
		out.WriteByte('\n')
	}
	head := "on the shelf"
	if len(m.layers) == 0 {
		head += m.atText()
	}
	out.WriteString(m.Paint.Apply(say.Title, head) + "\n")
	var texts []string
	for i, id := range m.shelf {
		if i == 60 {
			texts = append(texts, fmt.Sprintf("and %d more", len(m.shelf)-i))
			break
		}
		t := m.look(id)
		texts = append(texts, fmt.Sprintf("%c%s %s", t.letter(), t.mark(), m.Label(m.Bench.Label(id), nameRoom(m.Columns()))))
	}
	sideBySide(m.Env, out, texts, m.Columns())
}

// foldNotes explains the folds of columns, with the number that stands in this picture.
func foldNotes(xs []place) []string {
	for _, x := range xs {
		if x.fold > 0 {
			return []string{fmt.Sprintf("~%d~ %d columns without parts", x.fold, x.fold)}
		}
	}
	return nil
}

// legend explains what occurs.
func (m *chart) legend(out *strings.Builder) {
	s := &m.seen
	texts := m.kindNotes(func(k engine.Kind) string {
		row := &say.Kinds[k]
		small, large := rune(row.Letter), capital(k)
		if row.Drawn() {
			small, large = m.Glyph(row.Glyphs[0]), m.Glyph(row.Glyphs[1])
		}
		off, on := builtins.StateWords(k)
		if row.Shown[0] != "" {
			off, on = row.Shown[0], row.Shown[1]
		}
		return fmt.Sprintf("%c %v %s, %c %s", small, k, off, large, on)
	})
	for d, used := range s.dirs {
		if used {
			texts = append(texts, fmt.Sprintf("%c faces %v", m.Glyph(facingGlyphs[m.onPage(engine.Dir(d))]), engine.Dir(d)))
		}
	}
	texts = append(texts, m.markNotes()...)
	for slug := engine.Plug; slug <= engine.Bridge; slug++ {
		if s.slugs[slug] {
			texts = append(texts, fmt.Sprintf("(%c) a %v sits here", slugLetter(slug), slug))
		}
		if s.loose[slug] {
			texts = append(texts, fmt.Sprintf("[%c] a loose %v sits here", slugLetter(slug), slug))
		}
	}
	if s.many {
		texts = append(texts, string(m.Glyph(say.GMany))+" more than 9")
	}
	if s.awaits {
		texts = append(texts, "( ) a slug is on its way here")
	}
	texts = append(texts, foldNotes(m.xs)...)
	sideBySide(m.Env, out, texts, m.Columns())
}
