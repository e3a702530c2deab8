package steplog

import (
	"io"

	"pulsewright/builtins"
	"pulsewright/builtins/narrate"
	"pulsewright/engine"
)

// The step log is columns of fixed width:
//
//	»     1    0  quay.5                     ⇡ on        press
//	      1    0  54 wires (0, -2)⋯(53, -2)  ⇡ live      quay.5 on
//	      1    1  quay.link5                 ⇡ out       quay.5 on
//	       ~ 2 quiet ticks
//	»     4    0  pull                       ⇢ lands     pull out, at 1.3
//
// A mark stands before the first row of a tick. A cause is given with its instant if it did not happen in this step
// or the one before. What happens many times in one turn for one cause is one row (see narrate.Fold).

const (
	tickWidth = 6
	stepWidth = 5
	turnWidth = 5
	whoWidth  = 26
	whatWidth = 8
)

// heading is what stands above the columns.
type heading uint8

const (
	noHeading heading = iota
	withoutTurns
	withTurns
)

// Log prints the events of a bench as time passes, in rows or as a story.
type Log struct {
	out    io.Writer
	pal    Palette
	glyphs glyphs
	opts   func() *builtins.LogOptions

	bench  *engine.Bench
	next   engine.EventID // the first event not yet looked at
	labels []string       // by part
	buf    []byte
	turn   narrate.Fold

	headed heading // the one that was printed last
	shown  bool    // a row has been printed, and time has gone forward since
	hidden bool    // an event was left out since
	tick   int64
	step   int32
}

// New makes a log that writes to out; opts gives what log(…) chose, nil if it chose nothing.
func New(out io.Writer, pal Palette, ascii bool, opts func() *builtins.LogOptions) *Log {
	return &Log{out: out, pal: pal, glyphs: glyphsFor(ascii), opts: opts, next: 1}
}

// Skip goes on after what there is.
func (l *Log) Skip(b *engine.Bench) {
	l.sync(b)
	l.next = engine.EventID(b.EventCount()) + 1
	l.labels = l.labels[:0] // numbers of parts may come again after going back
	l.shown, l.hidden, l.tick = false, false, b.Now().Tick
}

// sync notices another bench, and one that has gone back.
func (l *Log) sync(b *engine.Bench) {
	if b != l.bench {
		l.bench, l.next, l.labels, l.shown, l.hidden, l.tick = b, 1, l.labels[:0], false, false, 0
	}
	if n := engine.EventID(b.EventCount()); n+1 < l.next || b.Now().Tick < l.tick {
		l.next, l.labels, l.shown, l.hidden, l.tick = n+1, l.labels[:0], false, false, b.Now().Tick
	}
}

// Follow prints what has happened since it was last called. It must be called between turns.
func (l *Log) Follow(b *engine.Bench) {
	l.sync(b)
	end := engine.EventID(b.EventCount()) + 1
	if l.next >= end {
		return
	}
	o := l.opts()
	if o != nil && o.Off {
		l.next, l.hidden = end, true
		return
	}
	for id, e := range b.Events(l.next) {
		if o != nil && !o.Shows(b, e) {
			if l.turn.Tick() != e.Tick {
				l.flush(o)
				l.hidden = l.hidden || l.tick != e.Tick
			}
			continue
		}
		if !l.turn.Takes(e) {
			l.flush(o)
		}
		l.turn.Add(id, e, b)
	}
	l.flush(o)
	l.next = end
	l.write()
}

// Rest tells of the quiet ticks since the last event, once a command is done.
func (l *Log) Rest(b *engine.Bench) {
	l.Follow(b)
	now := b.Now().Tick
	if o := l.opts(); (o == nil || !o.Off) && !l.hidden && now > l.tick {
		l.quiet(now - l.tick)
		l.write()
	}
	if now > l.tick {
		l.tick, l.shown, l.hidden = now, false, false
	}
}

func (l *Log) write() {
	if len(l.buf) > 0 {
		l.out.Write(l.buf)
		l.buf = l.buf[:0]
	}
}

// flush prints the turn that has been collected.
func (l *Log) flush(o *builtins.LogOptions) {
	story, turns := o != nil && o.Story, o != nil && (o.Story || o.Turns)
	for _, g := range l.turn.Groups() {
		switch {
		case g.N >= narrate.FoldFrom:
			l.row(g, story, turns)
		default:
			l.row(narrate.Group{First: g.First, N: 1}, story, turns)
			if g.N == 2 {
				l.row(narrate.Group{First: g.Last, N: 1}, story, turns)
			}
		}
	}
	l.turn.Reset()
	if len(l.buf) > 1<<16 {
		l.write()
	}
}
