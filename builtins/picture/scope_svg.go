package picture

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// Sizes of a timing diagram as SVG, in pixels.
const (
	SvgRoom    = 96 // columns side by side: a page on its side
	svgStep    = 13 // width of a step
	svgFold    = 46
	svgLetter  = 7.3 // width of a letter
	svgLane    = 32  // height of a lane
	svgWave    = 18  // height of a pulse
	svgHead    = 46
	svgMargin  = 16
	svgBandGap = 26
	svgLineGap = 16
)

// ScopeSVG draws a timing diagram as SVG.
func ScopeSVG(e *builtins.Env, g *grid) string {
	d := &scopeDrawing{grid: g, step: svgStep}
	for _, r := range g.rows {
		d.left = max(d.left, float64(min(say.Columns(say.Clean(r.name)), 40))*svgLetter)
	}
	d.left += svgMargin + 12
	units := func(c column) int {
		if c.folded() {
			return (svgFold + svgStep - 1) / svgStep
		}
		return 1
	}
	bs := bands(g.cols, SvgRoom, units)
	if len(bs) == 1 && len(g.cols) < SvgRoom/2 {
		d.step = 2 * svgStep
	}
	width := 360.0
	for _, b := range bs {
		x := d.places(b[0], b[1])
		width = max(width, x[len(x)-1]+svgMargin)
	}
	notes := d.notes(width)
	bandHeight := svgHead + float64(len(g.rows))*svgLane
	gap := 0.0
	if len(g.cursors) > 0 {
		gap = 12 // for their letters
	}
	height := gap + svgMargin + float64(len(bs))*(bandHeight+svgBandGap) + float64(len(notes))*svgLineGap + svgMargin
	var names []string
	for _, r := range g.rows {
		names = append(names, r.name)
	}
	about := fmt.Sprintf("One lane each for %s. The axis is in steps inside a tick; stretches without changes are folded.", strings.Join(names, ", "))
	d.svg = NewSVG(width, height, "Timing diagram", about)
	y := float64(svgMargin)
	for _, b := range bs {
		d.band(b[0], b[1], y)
		y += bandHeight + svgBandGap
	}
	y += gap
	for _, n := range notes {
		d.Text("dim", svgMargin, y, n)
		y += svgLineGap
	}
	return d.Done()
}

type scopeDrawing struct {
	*svg
	*grid
	left, step float64
}

// places gives where each of the columns begins, and where the last one ends.
func (d *scopeDrawing) places(from, to int) []float64 {
	x := []float64{d.left}
	for _, c := range d.cols[from:to] {
		w := d.step
		if c.folded() {
			w = svgFold
		}
		x = append(x, x[len(x)-1]+w)
	}
	return x
}

func (d *scopeDrawing) band(from, to int, y float64) {
	x := d.places(from, to)
	end, bottom := x[len(x)-1], y+svgHead+float64(len(d.rows))*svgLane
	tickEnd, stepEnd := 0.0, 0.0
	for i := from; i < to; i++ {
		c, at := d.cols[i], x[i-from]
		if c.folded() {
			d.Rect("fold", at, y+svgHead-8, svgFold, bottom-y-svgHead+8, 0)
			d.Text("dim mid", at+svgFold/2, y+svgHead-26, fmt.Sprint(max(c.ticks, c.steps)))
			unit := "quiet ticks"
			switch {
			case c.ticks == 1:
				unit = "quiet tick"
			case c.ticks == 0:
				unit = "quiet steps"
			}
			quiet, what, _ := strings.Cut(unit, " ")
			d.Text("dim mid", at+svgFold/2, y+svgHead-15, quiet)
			d.Text("dim mid", at+svgFold/2, y+svgHead-4, what)
			tickEnd, stepEnd = max(tickEnd, at+svgFold), max(stepEnd, at+svgFold)
			continue
		}
		switch {
		case c.step == 0:
			d.Line("tick", at, y+4, at, bottom)
		case c.step%5 == 0:
			d.Line("grid5", at, y+svgHead-8, at, bottom)
		default:
			d.Line("grid", at, y+svgHead-4, at, bottom)
		}
		if (c.step == 0 || i == from) && at >= tickEnd {
			text := fmt.Sprintf("tick %d", c.tick)
			if w := float64(len(text))*svgLetter + 10; at+w > end || !d.clear(i, at+w, from, to, x) {
				text = fmt.Sprint(c.tick)
			}
			d.Text("title", at+4, y+14, text)
			tickEnd = at + float64(len(text))*svgLetter + 8
		}
		if text := fmt.Sprint(c.step); (c.step%5 == 0 || i == from) && at >= stepEnd {
			d.Text("small", at+2, y+svgHead-12, text)
			stepEnd = at + float64(len(text))*6.2 + 4
		}
	}
	d.Line("grid5", end, y+svgHead-8, end, bottom)
	for k := range d.rows {
		d.lane(&d.rows[k], from, to, x, y+svgHead+float64(k)*svgLane)
	}
	for _, c := range d.cursors {
		if c.col >= from && c.col < to {
			at := x[c.col-from] + d.step/2
			d.Line("cursor", at, y+svgHead-10, at, bottom+4)
			d.Text("cursorink mid", at, bottom+16, c.letter)
		}
	}
}

// clear reports whether no tick and no fold begins between column i and x = limit.
func (d *scopeDrawing) clear(i int, limit float64, from, to int, x []float64) bool {
	for k := i + 1; k < to && x[k-from] < limit; k++ {
		if d.cols[k].step == 0 || d.cols[k].folded() {
			return false
		}
	}
	return true
}

// lane draws one lane whose top is y.
func (d *scopeDrawing) lane(r *gridRow, from, to int, x []float64, y float64) {
	d.group(r.name)
	low, high := y+svgLane-7, y+svgLane-7-svgWave
	d.Text("end", x[0]-10, low-3, cutName(r.name, 40))
	d.Line("grid", x[0], low, x[len(x)-1], low)
	value := r.start
	if from > 0 {
		value = r.cells[from-1].after
	}
	height := func(v int32) float64 {
		if v != 0 {
			return high
		}
		return low
	}
	if r.sort != LaneMoments {
		wave := "M" + at(x[0], height(value))
		var folds strings.Builder
		for i := from; i < to; i++ {
			c := r.cells[i]
			left, right := x[i-from], x[i-from+1]
			if d.cols[i].folded() {
				folds.WriteString("M" + at(left, height(value)) + "L" + at(right, height(value)))
				wave += "M" + at(right, height(value))
				continue
			}
			if c.changes > 0 {
				if r.sort == LaneLevel || height(value) == height(c.after) {
					wave += "L" + at(left, height(value)) + "L" + at(left, high+low-height(value))
				}
				wave += "L" + at(left, height(value)) + "L" + at(left, height(c.after))
			}
			value = c.after
			wave += "L" + at(right, height(value))
			if value != 0 {
				d.Rect("under", left, high, right-left, low-high, 0)
			}
		}
		if folds.Len() > 0 {
			d.path("wave faint", folds.String())
		}
		d.path("wave", wave)
	}
	before := r.start
	if from > 0 {
		before = r.cells[from-1].after
	}
	for i := from; i < to; i++ {
		c, at0 := r.cells[i], x[i-from]
		switch {
		case r.sort == LaneOnOff && (c.changes > 1 || c.changes == 1 && (before != 0) == (c.after != 0)):
			d.Line("note", at0, low, at0, high-3)
			d.diamond(at0, high-3)
		case c.changes == 0 && c.mark != 0 && r.sort == LaneMoments:
			d.Line("note", at0, low, at0, low-svgWave/2)
			d.diamond(at0, low-svgWave/2)
		case c.changes == 0 && c.mark != 0:
			d.circle("notefill", at0, height(c.after), 2.6)
			if word := c.mark.String(); d.plainUntil(r, i, at0+float64(len(word))*7+6, from, to, x) {
				d.Text("noteink", at0+4, low-svgWave/2+3, word)
			}
		}
		before = c.after
	}
	for _, s := range r.spans {
		d.caption(r, s, from, to, x, low, high)
	}
	d.end()
}

// plainUntil reports whether nothing happens in a lane after column i up to x = limit.
func (d *scopeDrawing) plainUntil(r *gridRow, i int, limit float64, from, to int, x []float64) bool {
	if limit > x[to-from] {
		return false
	}
	for k := i + 1; k < to && x[k-from] < limit; k++ {
		if r.cells[k].changes > 0 || r.cells[k].mark != 0 {
			return false
		}
	}
	return true
}

func (d *scopeDrawing) diamond(x, y float64) {
	d.path("notefill", "M"+at(x, y-4)+"L"+at(x+4, y)+"L"+at(x, y+4)+"L"+at(x-4, y)+"Z")
}

// caption writes the width of a pulse into it, or behind it where it is too narrow.
func (d *scopeDrawing) caption(r *gridRow, s span, from, to int, x []float64, low, high float64) {
	if s.label == "" || s.to < from || s.from >= to || s.to >= to && s.to-to > to-s.from || s.from < from && from-s.from > s.to-from {
		return // the larger part of it is in another band
	}
	left, right := x[max(s.from, from)-from], x[min(s.to, to)-from]
	w := float64(len(s.label)) * 6.8
	switch {
	case s.zero && r.sort == LaneOnOff:
		d.Text("noteink", right+6, high+4, s.label)
	case r.sort == LaneLevel:
		if right-left >= w {
			d.Text("width", left+3, low-5, s.label)
		}
	case right-left >= w:
		d.Text("width mid", (left+right)/2, low-5, s.label)
	case s.to < to && (s.to+1 >= len(r.cells) || r.cells[s.to].after == 0 && r.cells[s.to+1].changes == 0):
		d.Text("width", right+3, low-5, s.label)
	}
}

// notes are the lines below: what the cursors read, and what the signs mean.
func (d *scopeDrawing) notes(width float64) []string {
	var texts []string
	for i, c := range d.cursors {
		if i > 0 {
			p := d.cursors[i-1]
			texts = append(texts, fmt.Sprintf("%s to %s: %s", p.letter, c.letter, cursorsApart(p, c)))
		}
		texts = append(texts, fmt.Sprintf("%s at tick %d step %d", c.letter, c.at.Tick, c.at.Step))
	}
	var zero, width0, ticks, token bool
	var marks [engine.Level + 1]bool
	for _, r := range d.rows {
		for _, s := range r.spans {
			if r.sort == LaneOnOff {
				zero, width0, ticks = zero || s.zero, width0 || s.label != "", ticks || strings.Contains(s.label, "t")
			}
		}
		for _, c := range r.cells {
			token = token || r.sort == LaneMoments && c.mark != 0
			marks[c.mark] = marks[c.mark] || r.sort != LaneMoments
		}
	}
	if width0 {
		texts = append(texts, "on a pulse: its width in steps")
	}
	if ticks {
		texts = append(texts, "2t+3: 2 ticks and 3 steps")
	}
	if zero {
		texts = append(texts, "a diamond on a pole: on and off within one step, a pulse of 0 steps; or off and on")
	}
	var words []string
	for w := engine.Forced; w <= engine.Level; w++ {
		if marks[w] {
			words = append(words, w.String())
		}
	}
	if len(words) > 0 {
		texts = append(texts, "a dot: "+strings.Join(words, ", "))
	}
	if token {
		texts = append(texts, "a diamond: a token goes")
	}
	if d.cut {
		texts = append(texts, "more came before")
	}
	if d.More > 0 {
		texts = append(texts, say.Count(d.More, "more part")+" changed")
	}
	return fillNotes(texts, width)
}

// cutName cuts a name to so many columns.
func cutName(name string, width int) string {
	return say.Widths.Truncate(say.Clean(name), width, "⋯")
}
