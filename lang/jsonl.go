package lang

import (
	"io"

	"pulsewright/builtins/wave"
	"pulsewright/engine"
)

// jsonLog writes every event as one line of JSON, as builtins.EventLines describes it. What log(…) chooses does not
// matter here: a program that reads this can choose for itself.
type jsonLog struct {
	out   io.Writer
	seed  int64
	bench *engine.Bench
	next  engine.EventID
	lines wave.EventLines
	buf   []byte
	began bool
}

func newJSONLog(out io.Writer, seed int64) *jsonLog { return &jsonLog{out: out, seed: seed, next: 1} }

func (l *jsonLog) sync(b *engine.Bench) {
	if !l.began {
		l.began = true
		l.buf = l.lines.Head(l.buf, l.seed)
	}
	if b != l.bench {
		l.bench, l.next = b, 1
		l.lines.On(b)
	}
	if n := engine.EventID(b.EventCount()); n+1 < l.next {
		l.next = n + 1
		l.lines.On(b)
	}
}

func (l *jsonLog) Skip(b *engine.Bench) {
	l.sync(b)
	l.next = engine.EventID(b.EventCount()) + 1
	l.lines.On(b)
}

func (l *jsonLog) Follow(b *engine.Bench) {
	l.sync(b)
	for id, e := range b.Events(l.next) {
		l.buf = l.lines.Event(l.buf, id, e)
		if len(l.buf) > 1<<16 {
			l.write()
		}
	}
	l.next = engine.EventID(b.EventCount()) + 1
	l.write()
}

// Rest is Follow: quiet ticks are no events.
func (l *jsonLog) Rest(b *engine.Bench) { l.Follow(b) }

func (l *jsonLog) write() {
	if len(l.buf) > 0 {
		l.out.Write(l.buf)
		l.buf = l.buf[:0]
	}
}
