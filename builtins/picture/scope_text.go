package picture

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// line is one row of a picture in the terminal: signs of one column each, each with its style.
type line struct {
	runes  []rune
	styles []say.Style
}

func newLine(width int, fill rune) *line {
	l := &line{make([]rune, width), make([]say.Style, width)}
	for i := range l.runes {
		l.runes[i] = fill
	}
	return l
}

func (l *line) set(x int, r rune, s say.Style) { l.runes[x], l.styles[x] = r, s }

// write puts a text of one-column signs at x and reports whether it found room.
func (l *line) write(x int, text string, s say.Style) bool {
	if x < 0 || x+len(text) > len(l.runes) {
		return false
	}
	for i, r := range text {
		l.set(x+i, r, s)
	}
	return true
}

// dressed is the line as it is printed, without blanks at its end.
func (l *line) dressed(p say.Paint) string {
	end := len(l.runes)
	for end > 0 && l.runes[end-1] == ' ' {
		end--
	}
	var s strings.Builder
	for i := 0; i < end; {
		k := i + 1
		for k < end && l.styles[k] == l.styles[i] {
			k++
		}
		s.WriteString(p.Apply(l.styles[i], string(l.runes[i:k])))
		i = k
	}
	return s.String()
}

// ScopeAsText draws a timing diagram for a terminal of so many columns.
func ScopeAsText(e *builtins.Env, g *grid, width int) string {
	t := newScopeText(e, g, width)
	var out strings.Builder
	for i, band := range t.bands {
		if i > 0 {
			out.WriteByte('\n')
		}
		t.band(&out, band[0], band[1])
	}
	t.measures(&out)
	t.legend(&out, width)
	return strings.TrimSuffix(out.String(), "\n")
}

// newScopeText fits a timing diagram into so many columns.
func newScopeText(e *builtins.Env, g *grid, width int) *scopeText {
	names := 4
	for _, r := range g.rows {
		names = max(names, say.Columns(e.Label(r.name, nameRoom(width))))
	}
	t := &scopeText{Env: e, grid: g, names: names, room: max(width-names-1, 8)}
	t.scale = 1
	for scale := 4; scale > 1; scale-- {
		total := 0
		for _, c := range g.cols {
			total += columnWidth(c, scale)
		}
		if total <= t.room {
			t.scale = scale
			break
		}
	}
	t.bands = bands(g.cols, t.room, func(c column) int { return columnWidth(c, t.scale) })
	return t
}

// nameRoom is how many columns names may take.
func nameRoom(width int) int { return min(32, max(width/3, 8)) }

func columnWidth(c column, scale int) int {
	if c.folded() {
		return len(c.fold())
	}
	return scale
}

type scopeText struct {
	*builtins.Env
	*grid
	names, room, scale int
	bands              [][2]int
	used               [say.GMany + 1]bool // signs that the legend explains
	ticksToo           bool                // a width has ticks in it
	widths             bool
}

func (t *scopeText) sign(g say.Glyph) rune {
	t.used[g] = true
	return t.Glyph(g)
}

// band draws the columns from up to to.
func (t *scopeText) band(out *strings.Builder, from, to int) {
	x := make([]int, to-from+1) // where each column begins
	for i := from; i < to; i++ {
		x[i-from+1] = x[i-from] + columnWidth(t.cols[i], t.scale)
	}
	width := x[to-from]
	t.axis(out, from, to, x)
	for _, r := range t.rows {
		if t.Stopped() != nil {
			break
		}
		l := newLine(width, ' ')
		t.lane(l, &r, from, to, x)
		t.put(out, t.Label(r.name, nameRoom(t.names*3)), say.Name, l)
	}
}

// put writes a row with its head.
func (t *scopeText) put(out *strings.Builder, head string, s say.Style, l *line) {
	out.WriteString(t.Paint.Apply(s, head) + strings.Repeat(" ", t.names-say.Columns(head)+1) + l.dressed(t.Paint) + "\n")
}

// axis draws the numbers of ticks and steps, the ruler and the cursors.
func (t *scopeText) axis(out *strings.Builder, from, to int, x []int) {
	width := x[to-from]
	tick, step, ruler, marks := newLine(width, ' '), newLine(width, ' '), newLine(width, ' '), newLine(width, ' ')
	tickEnd, stepEnd := 0, 0
	every := int32(5)
	if t.scale == 1 {
		every = 10
	}
	for i := from; i < to; i++ {
		c, at := t.cols[i], x[i-from]
		if c.folded() {
			l := tick
			if c.steps > 0 {
				l = step
			}
			l.write(at, c.fold(), say.Dim)
			tickEnd, stepEnd = max(tickEnd, at+len(c.fold())), max(stepEnd, at)
			continue
		}
		if begins := c.step == 0; (begins || i == from) && at >= tickEnd {
			text := fmt.Sprint(c.tick)
			if begins {
				text = string(t.Glyph(say.GTick)) + text
			}
			w := len([]rune(text))
			if at+w <= width && (begins || !t.ticksBegin(i+1, at+w+1, from, to, x)) {
				for k, r := range []rune(text) {
					tick.set(at+k, r, say.Title)
				}
				tickEnd = at + w + 1
			}
		}
		numbered := false
		if c.step%every == 0 || i == from {
			text := fmt.Sprint(c.step)
			if at >= stepEnd && step.write(at, text, say.Number) {
				stepEnd, numbered = at+len(text)+1, true
			}
		}
		if numbered || c.step%5 == 0 {
			ruler.set(at, t.Glyph(say.GRuler), say.Dim)
		} else {
			ruler.set(at, t.Glyph(say.GDot), say.Dim)
		}
	}
	shown := false
	for _, c := range t.cursors {
		if c.col >= from && c.col < to {
			at := x[c.col-from]
			for at < width-1 && marks.runes[at] != ' ' {
				at++ // two cursors in one step
			}
			marks.write(at, c.letter, say.Title)
			shown = true
		}
	}
	t.put(out, "tick", say.Dim, tick)
	t.put(out, "step", say.Dim, step)
	t.put(out, "", say.Dim, ruler)
	if shown {
		t.put(out, "", say.Dim, marks)
	}
}

// ticksBegin reports whether a tick begins at a column from i on that stands before x = limit.
func (t *scopeText) ticksBegin(i, limit, from, to int, x []int) bool {
	for ; i < to && x[i-from] < limit; i++ {
		if t.cols[i].step == 0 || t.cols[i].folded() {
			return true
		}
	}
	return false
}

// lane draws one lane.
func (t *scopeText) lane(l *line, r *gridRow, from, to int, x []int) {
	before := r.start
	if from > 0 {
		before = r.cells[from-1].after
	}
	plain := make([]bool, len(l.runes)) // where a label may stand
	for i := from; i < to; i++ {
		c, col, at := r.cells[i], t.cols[i], x[i-from]
		low, high := say.GLow, say.GHigh
		if col.folded() {
			low, high = say.GQuietLow, say.GQuietHigh
		}
		switch {
		case r.sort == LaneLevel && !col.folded():
			high = say.GHold
		case r.sort == LaneMoments:
			low = say.GDot
		}
		for k := at; k < x[i-from+1]; k++ {
			plain[k] = !col.folded()
			if c.after != 0 {
				l.set(k, t.Glyph(high), say.Rise)
			} else {
				l.set(k, t.Glyph(low), say.Dim)
			}
		}
		switch {
		case c.changes > 0 && r.sort == LaneLevel:
			l.set(at, t.Glyph(say.GValue), say.Rise)
			plain[at] = false
		case c.changes > 1 || c.changes == 1 && (before != 0) == (c.after != 0):
			l.set(at, t.sign(say.GZero), say.Warn)
			plain[at] = false
		case c.changes == 1 && c.after != 0:
			l.set(at, t.Glyph(say.GRise), say.Rise)
			plain[at] = false
		case c.changes == 1:
			l.set(at, t.Glyph(say.GFall), say.Fall)
			plain[at] = false
		case c.mark != 0:
			l.set(at, t.sign(markGlyph(c.mark)), say.Warn)
			plain[at] = false
		}
		before = c.after
	}
	for _, s := range r.spans {
		t.caption(l, r, s, from, to, x, plain)
	}
}

// markGlyph is the sign of something that happened without changing what a lane shows.
func markGlyph(w engine.What) say.Glyph {
	switch w {
	case engine.Lapses:
		return say.GLapse
	case engine.Blocked:
		return say.GBlock
	case engine.Nudged:
		return say.GNudge
	case engine.Lands:
		return say.GLand
	}
	return say.GMoment
}

// caption writes the width of a pulse on it, or after it where it is too narrow. A pulse that goes over several bands has
// its width in the one with most of it.
func (t *scopeText) caption(l *line, r *gridRow, s span, from, to int, x []int, plain []bool) {
	if s.label == "" || s.to < from || s.from >= to && s.from != s.to || !t.mostHere(s, from, to) {
		return
	}
	free := func(at, n int) bool {
		if at < 0 || at+n > len(plain) {
			return false
		}
		for k := at; k < at+n; k++ {
			if !plain[k] {
				return false
			}
		}
		return true
	}
	n := len(s.label)
	left, right := 0, len(l.runes)
	if s.from >= from {
		left = x[s.from-from] + 1
	}
	if s.to < to {
		right = x[s.to-from]
	}
	at := left + (right-left-n)/2
	if r.sort == LaneLevel {
		at = left
	}
	ok := right-left >= n && free(at, n)
	for middle, k := at, 1; !ok && k <= right-left; k++ {
		for _, x := range [2]int{middle - k, middle + k} {
			if !ok && x >= left && x+n <= right {
				at, ok = x, free(x, n)
			}
		}
	}
	if !ok && s.to >= from && s.to < to && r.sort != LaneLevel {
		at = x[s.to-from] + 1
		ok = free(at, n) && free(at+n, 1)
	}
	if !ok {
		return
	}
	l.write(at, s.label, say.Number)
	for k := at; k < at+n; k++ {
		plain[k] = false
	}
	if r.sort == LaneLevel {
		return
	}
	t.widths = true
	t.ticksToo = t.ticksToo || strings.Contains(s.label, "t")
}

// mostHere reports whether no other band holds more of a span than the one given.
func (t *scopeText) mostHere(s span, from, to int) bool {
	best, bestFrom := -1, 0
	for _, b := range t.bands {
		if n := min(b[1], s.to) - max(b[0], s.from); n > best && s.to >= b[0] && s.from < b[1] {
			best, bestFrom = n, b[0]
		}
	}
	return bestFrom == from
}
