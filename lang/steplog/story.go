package steplog

import (
	"pulsewright/builtins"
	"pulsewright/builtins/narrate"
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
	l.buf = narrate.Because(l.buf, l.bench, e, l.label)
	if l.pal.Faint != "" {
		l.buf = append(l.buf, reset...)
	}
	l.buf = append(l.buf, '\n')
}
