package steplog

import (
	"strconv"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// In story mode a row is a sentence, for a class that reads along:
//
//	»     1    0    0  quay.5 goes on, because it was pressed.
//	      1    1    0  quay.link5 goes out, because quay.5 was pressed.

// tell writes the rest of a row as a sentence.
func (l *Log) tell(e engine.Event, n int, who string) {
	l.buf = append(l.buf, l.pal.Name...)
	l.buf = append(l.buf, who...)
	if l.pal.Name != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, ' ')
	sgr, _ := l.look(e)
	verb := builtins.VerbOf(l.bench, e)
	l.buf = append(l.buf, sgr...)
	if n > 1 {
		l.buf = append(l.buf, verb.Many...)
	} else {
		l.buf = append(l.buf, verb.One...)
	}
	if sgr != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, l.pal.Faint...)
	if e.Cause == 0 {
		if hand := builtins.Hand(l.bench, e); hand != "" {
			l.buf = append(l.buf, hands[hand]...)
		} else {
			l.buf = append(l.buf, causeless[builtins.Causeless(l.bench, e)]...)
		}
	} else {
		c := l.bench.Event(e.Cause)
		l.buf = append(l.buf, ", because "...)
		l.buf = append(l.buf, l.label(c.ID)...)
		l.buf = append(l.buf, ' ')
		l.buf = append(l.buf, builtins.Past(l.bench, c)...)
		switch {
		case c.Tick == e.Tick-1:
			l.buf = append(l.buf, " one tick ago"...)
		case c.Tick < e.Tick:
			l.buf = strconv.AppendInt(append(l.buf, ' '), e.Tick-c.Tick, 10)
			l.buf = append(l.buf, " ticks ago"...)
		case c.Step < e.Step-1:
			l.buf = append(l.buf, " in step "...)
			l.buf = strconv.AppendInt(l.buf, int64(c.Step), 10)
		}
	}
	l.buf = append(l.buf, '.')
	if l.pal.Faint != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, '\n')
}

// hands are the causes of what has none: somebody did it.
var hands = map[string]string{
	"press":       ", because it was pressed",
	"release":     ", because it was released",
	"fire":        ", because it was fired",
	"end of fire": ", because the fired pulse is over",
	"nudge":       " by hand",
}

// causeless are the other events without a cause.
var causeless = map[string]string{
	"posed":             ", because so it was posed",
	"release, or posed": ", because it was released or so it was posed",
	"not recorded":      ", of a cause that was not recorded",
}
