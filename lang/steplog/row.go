package steplog

import (
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/narrate"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// row prints one row, a group of like events; with turns, the turn stands beside tick and step.
func (l *Log) row(g narrate.Group, story, turns bool) {
	first := g.First
	fresh := !l.shown || first.Tick != l.tick
	if head := headFor(turns); !story && l.headed != head {
		l.headed = head
		l.head(turns)
	}
	if !l.hidden && first.Tick > l.tick+1 {
		l.quiet(first.Tick - l.tick - 1)
	}
	newStep := fresh || first.Step != l.step
	l.shown, l.hidden, l.tick, l.step = true, false, first.Tick, first.Step

	// time
	if fresh {
		l.paint(l.pal.Tick, l.glyphs.mark)
		l.number(l.pal.Tick, first.Tick, tickWidth)
	} else {
		l.buf = append(l.buf, ' ')
		l.number(l.pal.Faint, first.Tick, tickWidth)
	}
	sgr := l.pal.Faint
	if newStep {
		sgr = l.pal.Step
	}
	if first.Step >= 10_000 {
		l.buf = append(l.buf, ' ') // wider than its column: still apart from the tick
	}
	l.number(sgr, int64(first.Step), stepWidth)
	if turns {
		l.number(l.pal.Faint, int64(first.Turn), turnWidth)
	}
	l.buf = append(l.buf, ' ', ' ')

	who := l.label(first.ID)
	if g.N > 1 {
		who = narrate.Span(l.bench, g, l.label, l.glyphs.dots)
	}
	if story {
		l.tell(first, g.N, who)
		return
	}
	// who
	l.pad(l.pal.Name, who, whoWidth)
	l.buf = append(l.buf, ' ')
	// what
	sgr, glyph := l.look(first)
	l.buf = append(l.buf, sgr...)
	l.buf = append(l.buf, glyph...)
	l.buf = append(l.buf, ' ')
	from := len(l.buf)
	l.buf = append(l.buf, l.bench.Word(first)...)
	if first.What == engine.Level {
		l.buf = append(l.buf, ' ')
		l.buf = strconv.AppendInt(l.buf, int64(first.Arg), 10)
	}
	l.fill(len(l.buf)-from, whatWidth)
	if sgr != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, ' ', ' ')
	// because of
	l.buf = append(l.buf, l.pal.Faint...)
	l.cause(first)
	if l.pal.Faint != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, '\n')
}

func headFor(turns bool) heading {
	if turns {
		return withTurns
	}
	return withoutTurns
}

func (l *Log) head(turns bool) {
	var b strings.Builder
	b.WriteByte(' ')
	put := func(s string, width int, right bool) {
		if right {
			b.WriteString(strings.Repeat(" ", max(0, width-len(s))))
		}
		b.WriteString(s)
		if !right {
			b.WriteString(strings.Repeat(" ", max(0, width-len(s))))
		}
	}
	put("tick", tickWidth, true)
	put("step", stepWidth, true)
	if turns {
		put("turn", turnWidth, true)
	}
	put("", 2, false)
	put("who", whoWidth+3, false)
	put("what", whatWidth+2, false)
	b.WriteString("because of")
	l.paint(l.pal.Head, b.String())
	l.buf = append(l.buf, '\n')
}

func (l *Log) quiet(n int64) {
	l.buf = append(l.buf, l.pal.Faint...)
	l.buf = append(l.buf, "     ~ "...)
	l.buf = strconv.AppendInt(l.buf, n, 10)
	l.buf = append(l.buf, " quiet tick"...)
	if n > 1 {
		l.buf = append(l.buf, 's')
	}
	if l.pal.Faint != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, '\n')
}

// cause writes what made an event happen.
func (l *Log) cause(e engine.Event) {
	if e.Cause == 0 {
		if hand := builtins.Hand(l.bench, e); hand != "" {
			l.buf = append(l.buf, hand...)
		} else {
			l.buf = append(l.buf, builtins.Causeless(l.bench, e)...)
		}
		return
	}
	c := l.bench.Event(e.Cause)
	l.buf = append(l.buf, l.label(c.ID)...)
	l.buf = append(l.buf, ' ')
	l.buf = append(l.buf, l.bench.Word(c)...)
	if c.What == engine.Level {
		l.buf = append(l.buf, ' ')
		l.buf = strconv.AppendInt(l.buf, int64(c.Arg), 10)
	}
	if c.Tick != e.Tick || c.Step < e.Step-1 {
		l.buf = append(l.buf, ", at "...)
		l.buf = strconv.AppendInt(l.buf, c.Tick, 10)
		l.buf = append(l.buf, '.')
		l.buf = strconv.AppendInt(l.buf, int64(c.Step), 10)
	}
}

// look is how a word of the log looks.
func (l *Log) look(e engine.Event) (sgr, glyph string) {
	switch e.What {
	case engine.Forced, engine.On, engine.Out, engine.Live, engine.Lit:
		return l.pal.On, l.glyphs.rise
	case engine.Freed, engine.Off, engine.Home, engine.Dead, engine.Dark:
		return l.pal.Off, l.glyphs.fall
	case engine.Lapses:
		return l.pal.Fault, l.glyphs.lapse
	case engine.Blocked:
		return l.pal.Fault, l.glyphs.block
	case engine.Nudged:
		return l.pal.Move, l.glyphs.nudge
	case engine.Level:
		return l.pal.On, l.glyphs.set
	case engine.Enters:
		if e.Arg&engine.ActiveState == 0 {
			return l.pal.Off, l.glyphs.fall
		}
		return l.pal.On, l.glyphs.rise
	}
	return l.pal.Move, l.glyphs.move
}

// label is the name of a part, else its kind and cell. Labels are made once.
func (l *Log) label(id engine.ID) string {
	for int(id) >= len(l.labels) {
		l.labels = append(l.labels, "")
	}
	if l.labels[id] == "" {
		l.labels[id] = say.Printable(l.bench.Label(id))
	}
	return l.labels[id]
}

// paint appends s, dressed.
func (l *Log) paint(sgr, s string) {
	l.buf = append(l.buf, sgr...)
	l.buf = append(l.buf, s...)
	if sgr != "" {
		l.buf = append(l.buf, reset...)
	}
}

// number appends n, flush right.
func (l *Log) number(sgr string, n int64, width int) {
	var digits [20]byte
	s := strconv.AppendInt(digits[:0], n, 10)
	l.fill(len(s), width)
	l.buf = append(l.buf, sgr...)
	l.buf = append(l.buf, s...)
	if sgr != "" {
		l.buf = append(l.buf, reset...)
	}
}

// pad appends s, flush left. What is too wide stays whole: better a crooked row than a name cut short.
func (l *Log) pad(sgr, s string, width int) {
	l.paint(sgr, s)
	l.fill(say.Columns(s), width)
}

func (l *Log) fill(have, width int) {
	for ; have < width; have++ {
		l.buf = append(l.buf, ' ')
	}
}
