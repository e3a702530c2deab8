package picture

import (
	"fmt"
	"sort"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// grid is a timing diagram ready to be drawn, in the terminal or as SVG.
type grid struct {
	cols    []column
	cut     bool // something came before the first column
	More    int  // lanes left out
	rows    []gridRow
	cursors []cursor
}

type gridRow struct {
	name  string
	sort  LaneSort
	start int32 // what it shows before the first column
	cells []gridCell
	spans []span
}

// gridCell is one lane in one column.
type gridCell struct {
	after   int32       // what it shows at the end of the column
	changes int         // how often it changed in it
	mark    engine.What // something else that happened in it, or 0
}

// span is a pulse, or a time of one level, with what is written on it. It is seen from column from up to column to.
type span struct {
	from, to int
	label    string
	zero     bool // it rose and fell in the same step
}

// cursor is a chosen instant. Turn wholeStep stands for the end of the step.
type cursor struct {
	at     engine.Instant
	letter string
	values []int32 // of the lanes, after that instant
	col    int     // -1: outside
}

const wholeStep = 1<<31 - 1

func (c cursor) String() string { return fmt.Sprintf("%d.%d", c.at.Tick, c.at.Step) }

// LayOut puts the lanes on columns: all of them, unless the context ends meanwhile.
func LayOut(e *builtins.Env, lanes []*Lane, cols []column, cut bool, cursors []cursor) *grid {
	g := &grid{cols: cols, cut: cut, cursors: cursors}
	for _, l := range lanes {
		if e.Stopped() != nil {
			break
		}
		g.rows = append(g.rows, l.row(cols))
	}
	for i := range g.cursors {
		c := &g.cursors[i]
		c.letter, c.col = string(rune('A'+i)), -1
		for k, col := range cols {
			if col.tick == c.at.Tick && int(col.step) == c.at.Step && !col.folded() {
				c.col = k
			}
		}
		c.values = c.values[:0]
		for _, l := range lanes {
			c.values = append(c.values, l.at(c.at))
		}
	}
	return g
}

// at is what the lane shows after everything that happened up to and at an instant.
func (l *Lane) at(i engine.Instant) int32 {
	n := sort.Search(len(l.changes), func(k int) bool {
		c := l.changes[k]
		return i.Before(engine.Instant{Tick: c.tick, Step: int(c.step), Turn: int(c.turn)})
	})
	if n == 0 {
		return l.start
	}
	return l.changes[n-1].value
}

// row puts one lane on the columns.
func (l *Lane) row(cols []column) gridRow {
	r := gridRow{name: l.Name, sort: l.sort, start: l.start, cells: make([]gridCell, len(cols))}
	if len(cols) == 0 {
		return r
	}
	first := Moment{cols[0].tick, cols[0].step}
	k := sort.Search(len(l.changes), func(i int) bool { return !l.changes[i].moment().Before(first) })
	m := sort.Search(len(l.marks), func(i int) bool { return !l.marks[i].moment().Before(first) })
	value := l.start
	var begin *change // of the pulse or level that goes on
	if k > 0 {
		begin = &l.changes[k-1]
		value = begin.value
	}
	r.start = value
	from := -1 // its column
	for i, col := range cols {
		c := &r.cells[i]
		here := Moment{col.tick, col.step}
		for ; !col.folded() && k < len(l.changes) && l.changes[k].moment() == here; k++ {
			now := &l.changes[k]
			if begin != nil && (begin.value != 0 || l.sort == LaneLevel) {
				r.spans = append(r.spans, l.span(begin, now, max(from, 0), i))
			}
			begin, from, value = now, i, now.value
			c.changes++
		}
		for ; !col.folded() && m < len(l.marks) && l.marks[m].moment() == here; m++ {
			c.mark = l.marks[m].what
		}
		c.after = value
	}
	if l.sort == LaneLevel && value != 0 {
		r.spans = append(r.spans, span{max(from, 0), len(cols), fmt.Sprint(value), false})
	}
	return r
}

func (l *Lane) span(begin, end *change, from, to int) span {
	s := span{from: from, to: to, zero: begin.moment() == end.moment()}
	if l.sort == LaneLevel {
		if begin.value != 0 {
			s.label = fmt.Sprint(begin.value)
		}
		return s
	}
	s.label = widthLabel(end.tick-begin.tick, int(end.step-begin.step))
	return s
}

// widthLabel writes a width as it stands on a pulse: "10" for steps, "2t" or "2t-3" if there are ticks in it.
func widthLabel(ticks int64, steps int) string {
	switch {
	case ticks == 0:
		return fmt.Sprint(steps)
	case steps == 0:
		return fmt.Sprintf("%dt", ticks)
	}
	return fmt.Sprintf("%dt%+d", ticks, steps)
}

func (c *change) moment() Moment { return Moment{c.tick, c.step} }
func (m *mark) moment() Moment   { return Moment{m.tick, m.step} }

// cursorsApart says how far it is from one cursor to the next.
func cursorsApart(a, b cursor) string {
	ticks, steps := b.at.Tick-a.at.Tick, b.at.Step-a.at.Step
	if ticks == 0 {
		return say.Count(steps, "step")
	}
	if steps == 0 {
		return say.Count(int(ticks), "tick")
	}
	return fmt.Sprintf("%s %+d steps", say.Count(int(ticks), "tick"), steps)
}
