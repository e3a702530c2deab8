package steplog

import (
	"io"

	"pulsewright/builtins/wave"
	"pulsewright/engine"
)

// JSON writes every event as one line of JSON, as builtins.EventLines describes it. What log(…) chooses does not
// matter here: a program that reads this can choose for itself.
type JSON struct {
	out   io.Writer
	seed  int64
	bench *engine.Bench
	next  engine.EventID
	lines wave.EventLines
	buf   []byte
	began bool
}

// NewJSON makes a log that writes to out; its first line names the seed.
func NewJSON(out io.Writer, seed int64) *JSON { return &JSON{out: out, seed: seed, next: 1} }

func (l *JSON) sync(b *engine.Bench) {
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

func (l *JSON) Skip(b *engine.Bench) {
	l.sync(b)
	l.next = engine.EventID(b.EventCount()) + 1
	l.lines.On(b)
}

func (l *JSON) Follow(b *engine.Bench) {
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
func (l *JSON) Rest(b *engine.Bench) { l.Follow(b) }

func (l *JSON) write() {
	if len(l.buf) > 0 {
		l.out.Write(l.buf)
		l.buf = l.buf[:0]
	}
}
