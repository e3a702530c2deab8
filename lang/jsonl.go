package lang

import (
	"encoding/json"
	"io"
	"strconv"

	"pulsewright/engine"
)

// jsonLog writes every event as one line of JSON, after a first line that names the format. What log(…) chooses
// does not matter here: a program that reads this can choose for itself. The keys, in this order:
//
//	bench   number of the bench, from 1; fresh() begins the next one
//	event   number of the event on its bench, from 1; after going back the numbers come again
//	cause   number of the event that caused it; 0 for a stimulus
//	tick, step, turn
//	part    number of the part, or of the bare cell
//	kind    "wire", "link", …; "cell" for a bare cell
//	name    "" if it has none
//	cell    [x, y, z]; null on the shelf
//	what    the word of the log
//	level   the new level, for the word level; else 0
type jsonLog struct {
	out   io.Writer
	seed  int64
	bench *engine.Bench
	count int
	next  engine.EventID
	parts [][]byte // by part: the keys part to cell, written once
	buf   []byte
	began bool
}

func newJSONLog(out io.Writer, seed int64) *jsonLog { return &jsonLog{out: out, seed: seed, next: 1} }

// jsonFormat is the first line's name of the format; its version changes when a key does.
const (
	jsonFormat  = "pulsewright-events"
	jsonVersion = 1
)

func (l *jsonLog) sync(b *engine.Bench) {
	if !l.began {
		l.began = true
		l.buf = append(l.buf, `{"format":"`+jsonFormat+`","version":`...)
		l.buf = strconv.AppendInt(l.buf, jsonVersion, 10)
		l.buf = append(l.buf, `,"seed":`...)
		l.buf = strconv.AppendInt(l.buf, l.seed, 10)
		l.buf = append(l.buf, "}\n"...)
	}
	if b != l.bench {
		l.bench, l.next, l.parts = b, 1, l.parts[:0]
		l.count++
	}
	if n := engine.EventID(b.EventCount()); n+1 < l.next {
		l.next, l.parts = n+1, l.parts[:0]
	}
}

func (l *jsonLog) Skip(b *engine.Bench) {
	l.sync(b)
	l.next, l.parts = engine.EventID(b.EventCount())+1, l.parts[:0]
}

func (l *jsonLog) Follow(b *engine.Bench) {
	l.sync(b)
	for id, e := range b.Events(l.next) {
		l.event(id, e)
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

func (l *jsonLog) event(id engine.EventID, e engine.Event) {
	number := func(key string, n int64) {
		l.buf = append(l.buf, key...)
		l.buf = strconv.AppendInt(l.buf, n, 10)
	}
	number(`{"bench":`, int64(l.count))
	number(`,"event":`, int64(id))
	number(`,"cause":`, int64(e.Cause))
	number(`,"tick":`, e.Tick)
	number(`,"step":`, int64(e.Step))
	number(`,"turn":`, int64(e.Turn))
	l.buf = append(l.buf, l.part(e.ID)...)
	l.buf = append(l.buf, `,"what":"`...)
	l.buf = append(l.buf, e.What.String()...)
	l.buf = append(l.buf, '"')
	number(`,"level":`, int64(e.Arg))
	l.buf = append(l.buf, "}\n"...)
}

func (l *jsonLog) part(id engine.ID) []byte {
	for int(id) >= len(l.parts) {
		l.parts = append(l.parts, nil)
	}
	if l.parts[id] == nil {
		name, _ := json.Marshal(l.bench.Name(id))
		b := strconv.AppendInt([]byte(`,"part":`), int64(id), 10)
		b = append(b, `,"kind":"`+l.bench.KindOf(id).String()+`","name":`...)
		b = append(b, name...)
		b = append(b, `,"cell":`...)
		if cell, ok := l.bench.CellOf(id); !ok {
			b = append(b, "null"...)
		} else {
			b = append(b, '[')
			b = strconv.AppendInt(b, int64(cell.X), 10)
			b = append(b, ',')
			b = strconv.AppendInt(b, int64(cell.Y), 10)
			b = append(b, ',')
			b = strconv.AppendInt(b, int64(cell.Z), 10)
			b = append(b, ']')
		}
		l.parts[id] = b
	}
	return l.parts[id]
}
