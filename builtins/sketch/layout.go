package sketch

import (
	"slices"
	"strconv"
	"strings"

	"pulsewright/engine"
)

// tileWidth is the columns of a cell: kind, facing, mark.
const tileWidth = 3

// reader takes a drawing apart: lines into layers of rows, rows into tiles.
type reader struct {
	plan   *Plan
	kinds  []*engine.Spec // of a script's own
	layers []layer
	below  []legendLine
	seats  map[engine.Cell]*seat // slugs that are drawn
	own    map[rune]Place        // marks of the user's that occur, and where first
	of     map[engine.Cell]int   // the tile in each cell, once somebody asks
}

// layer is what is drawn of one z, in bands that stand below each other.
type layer struct {
	z     int32
	bands []band
}

// band is rows below one axis.
type band struct {
	axis []segment
	rows []row
	gaps int // rows that a fold left out below the last one
}

// segment is columns of cells side by side: the text's columns from at to before end, the first of them x; or a fold, with at -1.
type segment struct {
	at, end int
	x       int32
}

// row is a line of a drawing.
type row struct {
	line   int // from 1
	text   []rune
	from   int // where its cells begin at the earliest: behind its number
	y      int32
	number bool  // it has one
	up     int32 // without one: rows between it and the one below, by a fold
}

type legendLine struct {
	line int
	text string
}

// restHidden begins the last line of a map that is too long to be shown.
const restHidden = "the rest is not shown"

// unbounded is the end of a segment that goes on to the end of the line.
const unbounded = 1 << 30

// lines sorts the lines of a text.
func (r *reader) lines(text string) error {
	shelf, gap, noted := false, true, false
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimRight(line, " \r")
		trimmed := strings.TrimLeft(line, " ")
		at := Place{Line: i + 1, Column: 1 + len(line) - len(trimmed)}
		switch {
		case strings.HasPrefix(trimmed, restHidden):
			return wrong(at, "the rest of this map is not shown; its whole text is map().text")
		case r.below != nil:
			r.below = append(r.below, legendLine{i + 1, line})
		case trimmed == "":
			shelf, gap = false, true
		case trimmed == "legend":
			r.below = []legendLine{}
		case shelf:
		case r.isNote(trimmed, noted || gap && len(r.layers) > 0):
			noted = true
		case trimmed == "on the shelf":
			shelf = true
		default:
			if err := r.line(line, trimmed, at, gap); err != nil {
				return err
			}
			gap, noted = false, false
		}
	}
	return nil
}

// line reads one line of the drawing; gap says that a blank one stands above it.
func (r *reader) line(line, trimmed string, at Place, gap bool) error {
	if z, ok, err := heading(trimmed, at); ok || err != nil {
		r.layers = append(r.layers, layer{z: z, bands: []band{{}}})
		return err
	}
	if len(r.layers) == 0 {
		r.layers = append(r.layers, layer{bands: []band{{}}})
	}
	l := &r.layers[len(r.layers)-1]
	b := &l.bands[len(l.bands)-1]
	if trimmed[0] == '~' && strings.Contains(trimmed, "row") {
		n, err := strconv.Atoi(strings.Fields(strings.TrimPrefix(trimmed, "~") + " ")[0])
		if err != nil || n < 1 || n > engine.Limit {
			return wrong(at, "%q is no fold of rows, want one such as ~ 9 rows without parts", trimmed)
		}
		b.gaps += n
		return nil
	}
	if axis, ok, err := readAxis([]rune(line), at.Line); ok && (b.axis == nil && len(b.rows) == 0 || gap) {
		if err != nil {
			return err
		}
		if len(b.rows) > 0 || b.axis != nil {
			l.bands = append(l.bands, band{})
			b = &l.bands[len(l.bands)-1]
		}
		b.axis = axis
		return nil
	}
	rw := row{line: at.Line, text: []rune(line), up: int32(b.gaps)}
	if tab := slices.Index(rw.text, '\t'); tab >= 0 {
		return wrong(Place{Line: at.Line, Column: tab + 1}, "a tab; a drawing is made with blanks")
	}
	b.gaps = 0
	if err := rw.readNumber(at); err != nil {
		return err
	}
	if n := len(b.rows); n > 0 {
		last := &b.rows[n-1]
		switch {
		case last.number != rw.number:
			return wrong(at, "this row %s, unlike those above: number all rows of a layer, or none", map[bool]string{true: "has a number", false: "has no number"}[rw.number])
		case rw.number && rw.y >= last.y:
			return wrong(at, "row %d stands below row %d; y goes up, so the numbers go down", rw.y, last.y)
		case !rw.number && gap:
			return wrong(at, "a row below a blank line; draw an empty row as a dot, or number the rows")
		}
	}
	b.rows = append(b.rows, rw)
	return nil
}

// heading reads the line above a layer: z = 2.
func heading(s string, at Place) (z int32, ok bool, err error) {
	rest, ok := strings.CutPrefix(s, "z")
	if rest = strings.TrimLeft(rest, " "); !ok || !strings.HasPrefix(rest, "=") {
		return 0, false, nil
	}
	fields := strings.Fields(rest[1:])
	if len(fields) == 1 || len(fields) > 1 && strings.HasPrefix(strings.Join(fields[1:], " "), "x to the right, y up") {
		if z, ok := coordinate(fields[0]); ok {
			return z, true, nil
		}
	}
	return 0, true, wrong(at, "%q is no heading of a layer, want one such as z = 0", s)
}

// coordinate reads a whole number that a cell may have.
func coordinate(s string) (int32, bool) {
	n, err := strconv.ParseInt(s, 10, 32)
	return int32(n), err == nil && -engine.Limit <= n && n <= engine.Limit
}

// readNumber reads the number at the beginning of a row.
func (rw *row) readNumber(at Place) error {
	i := at.Column - 1
	k := i
	if k < len(rw.text) && rw.text[k] == '-' {
		k++
	}
	digits := k
	for k < len(rw.text) && '0' <= rw.text[k] && rw.text[k] <= '9' {
		k++
	}
	if k == digits {
		return nil
	}
	y, ok := coordinate(string(rw.text[i:k]))
	if !ok || k < len(rw.text) && rw.text[k] != ' ' {
		return wrong(at, "%q is no number of a row, want a whole number from -%d to %d and a blank", first(string(rw.text[i:])), engine.Limit, engine.Limit)
	}
	rw.y, rw.number, rw.from = y, true, k+1
	return nil
}

// first is the beginning of a text, up to a blank.
func first(s string) string {
	s, _, _ = strings.Cut(s, " ")
	if r := []rune(s); len(r) > 20 {
		s = string(r[:20])
	}
	return s
}

// readAxis reads the numbers of the columns. ok is false if anything but numbers and folds stands in the line.
func readAxis(line []rune, number int) (axis []segment, ok bool, err error) {
	for i := 0; i < len(line); {
		if line[i] == ' ' {
			i++
			continue
		}
		k := i
		for k < len(line) && line[k] != ' ' {
			k++
		}
		word := string(line[i:k])
		at := Place{Line: number, Column: i + 1}
		if n, isFold := strings.CutPrefix(word, "~"); isFold {
			n, isFold = strings.CutSuffix(n, "~")
			if _, bad := strconv.Atoi(n); bad != nil || !isFold {
				return nil, false, nil
			}
			if last := len(axis) - 1; last >= 0 {
				axis[last].end = i - 1
			}
			axis = append(axis, segment{at: -1, end: k + 1})
			i = k
			continue
		}
		x, isNumber := coordinate(word)
		if !isNumber {
			return nil, false, nil
		}
		switch last := len(axis) - 1; {
		case last < 0:
			axis = append(axis, segment{i, unbounded, x})
		case axis[last].at < 0: // behind a fold
			if i != axis[last].end {
				err = wrong(at, "the number behind a fold stands one blank behind it")
			}
			axis[last] = segment{i, unbounded, x}
		default:
			s := axis[last]
			if d := i - s.at; err == nil && (d%tileWidth != 0 || int64(s.x)+int64(d/tileWidth) != int64(x)) {
				err = wrong(at, "the number %d of a column; each cell is %d columns wide, so column %d begins at %d", x, tileWidth, x, s.at+1+tileWidth*int(x-s.x))
			}
		}
		i = k
	}
	return axis, len(axis) > 0, err
}
