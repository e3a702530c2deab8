package lang

import (
	"strconv"

	"pulsewright/engine"
)

// In story mode a row is a sentence, for a class that reads along:
//
//	»     1    0  quay.5 goes on, because it was pressed.
//	      1    1  quay.link5 goes out, because quay.5 went on.

// tell writes the rest of a row as a sentence.
func (l *stepLog) tell(e engine.Event, n int, who string) {
	l.buf = append(l.buf, l.pal.Name...)
	l.buf = append(l.buf, who...)
	if l.pal.Name != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, ' ')
	sgr, _ := l.look(e.What)
	verb := verbs[e.What]
	l.buf = append(l.buf, sgr...)
	if n > 1 {
		l.buf = append(l.buf, verb.many...)
	} else {
		l.buf = append(l.buf, verb.one...)
	}
	if e.What == engine.Level {
		l.buf = strconv.AppendInt(append(l.buf, ' '), int64(e.Arg), 10)
	}
	if sgr != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, l.pal.Faint...)
	if e.Cause == 0 {
		l.buf = append(l.buf, hands[e.What]...)
	} else {
		c := l.bench.Event(e.Cause)
		l.buf = append(l.buf, ", because "...)
		l.buf = append(l.buf, l.label(c.ID)...)
		l.buf = append(l.buf, ' ')
		l.buf = append(l.buf, verbs[c.What].past...)
		if c.What == engine.Level {
			l.buf = strconv.AppendInt(append(l.buf, ' '), int64(c.Arg), 10)
		}
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

// verb is a word of the log as a sentence has it: it goes on, they go on, it went on.
type verb struct{ one, many, past string }

var verbs = map[engine.What]verb{
	engine.Forced:   {"is forced live", "are forced live", "was forced live"},
	engine.Freed:    {"is let go", "are let go", "was let go"},
	engine.Nudged:   {"is nudged", "are nudged", "was nudged"},
	engine.On:       {"goes on", "go on", "went on"},
	engine.Off:      {"goes off", "go off", "went off"},
	engine.Out:      {"goes out", "go out", "went out"},
	engine.Home:     {"comes home", "come home", "came home"},
	engine.Lapses:   {"takes its turn and finds nothing left to do", "take their turns and find nothing left to do", "found nothing left to do"},
	engine.Blocked:  {"is blocked: the seat it needs is taken", "are blocked: the seats they need are taken", "was blocked"},
	engine.Lands:    {"sets its slug down", "set their slugs down", "set its slug down"},
	engine.Live:     {"goes live", "go live", "went live"},
	engine.Dead:     {"goes dead", "go dead", "went dead"},
	engine.Lit:      {"lights up", "light up", "lit up"},
	engine.Dark:     {"goes dark", "go dark", "went dark"},
	engine.Passes:   {"passes its token on", "pass their tokens on", "passed its token on"},
	engine.Drops:    {"drops its token", "drop their tokens", "dropped its token"},
	engine.Moves:    {"moves a token", "move tokens", "moved a token"},
	engine.Consumes: {"consumes a token", "consume tokens", "consumed a token"},
	engine.Level:    {"reads", "read", "read"},
}

// hands are the causes of what has none: somebody did it.
var hands = map[engine.What]string{
	engine.On:     ", because it was pressed",
	engine.Off:    ", because it was released",
	engine.Forced: ", because it was fired",
	engine.Freed:  ", because the fired pulse is over",
	engine.Nudged: " by hand",
}
