package engine

import (
	"iter"
	"slices"
)

// Recording says which events are kept.
type Recording uint8

const (
	RecordAll  Recording = iota // every event
	RecordSome                  // those of the parts and cells given to Watch
	RecordNone
)

// chunkSize events take 32 KB: larger blocks come fresh from the system, and new pages cost more than what is written there.
const chunkSize = 1 << 10

// log keeps the events in chunks. Snapshots share chunks: an event is only ever written
// behind the last one of its chunk, or into a copy. Chunks that no snapshot has seen are
// used again once their events are forgotten: fresh memory costs more than writing to it.
type log struct {
	recording Recording
	chunks    []*chunk
	n         int
	holes     bool // events may have happened that were not kept, or are forgotten
	known     int  // snapshots may know this many of the chunks, from the first on

	listShared bool // snapshots know this list of chunks
	spare      []*chunk
}

// chunk is a stretch of events; it grows up to chunkSize.
type chunk struct{ ev []Event }

// record logs an event at site s and returns what its consequences have as their cause.
func (b *Bench) record(s int32, w What, arg int32, cause EventID) EventID {
	if b.recording == RecordNone {
		return cause
	}
	return b.keep(s, w, arg, cause)
}

func (b *Bench) keep(s int32, w What, arg int32, cause EventID) EventID {
	if b.recording == RecordSome && b.st[s].flags&fRec == 0 {
		return cause
	}
	k, i := b.n/chunkSize, b.n&(chunkSize-1)
	var c *chunk
	if i == 0 {
		c = b.newChunk(k)
		b.addChunk(k, c)
	} else if c = b.chunks[k]; len(c.ev) != i {
		c = &chunk{append(b.newChunk(k).ev, c.ev[:i]...)}
		b.addChunk(k, c)
	}
	if len(c.ev) == cap(c.ev) {
		c.ev = append(make([]Event, 0, min(max(4*len(c.ev), 64), chunkSize)), c.ev...)
	}
	c.ev = append(c.ev, Event{Tick: b.at.Tick, Step: int32(b.at.Step), Turn: int32(b.at.Turn), ID: b.id[s], Cause: cause, Arg: arg, What: w})
	b.n++
	return EventID(b.n)
}

// addChunk makes c the k-th chunk and the last. A list that snapshots know is copied first.
func (l *log) addChunk(k int, c *chunk) {
	if l.listShared {
		l.chunks = append(make([]*chunk, 0, 2*k+4), l.chunks[:k]...)
		l.listShared = false
	}
	l.chunks = append(l.chunks[:k], c)
	l.known = min(l.known, k)
}

// newChunk finds room for the k-th chunk.
func (l *log) newChunk(k int) *chunk {
	if n := len(l.spare); n > 0 {
		c := l.spare[n-1]
		l.spare = l.spare[:n-1]
		c.ev = c.ev[:0]
		return c
	}
	if k == 0 {
		return &chunk{} // most trials of a sweep log a few dozen events
	}
	return &chunk{make([]Event, 0, chunkSize)}
}

// drop empties the log and keeps what no snapshot knows for the events to come.
func (l *log) drop() {
	l.spare = append(l.spare, l.chunks[l.known:]...)
	if l.listShared {
		l.chunks, l.listShared = nil, false
	}
	l.chunks, l.n, l.known = l.chunks[:0], 0, 0
}

// Inherit takes over the memory of the log of another bench, which loses its events and what its ticks cost.
func (b *Bench) Inherit(o *Bench) {
	o.ForgetEvents()
	if len(b.costs.rows) == 0 {
		b.costs.rows = o.costs.room()
	}
	o.costs.rows = nil
	b.spare = append(b.spare, o.spare...)
	o.spare = nil
}

// rejoin makes the log what it was at a snapshot.
func (l *log) rejoin(s *log) {
	l.drop()
	spare := l.spare
	*l = *s
	l.spare = spare
}

// share tells the log that a snapshot knows it, and returns what it knows.
func (l *log) share() log {
	l.listShared, l.known = true, len(l.chunks)
	s := *l
	s.spare = nil
	return s
}

// Record says which events are kept from now on; a fresh bench keeps all.
func (b *Bench) Record(r Recording) {
	b.edited()
	b.recording, b.holes = r, b.holes || r != RecordAll
}

// Recording says which events are kept.
func (b *Bench) Recording() Recording { return b.recording }

// Watch keeps the events of one part or cell while recording is RecordSome.
func (b *Bench) Watch(t Target) error {
	s, err := b.targetSite(t)
	if err == nil {
		b.edited()
		b.st[s].flags |= fRec
	}
	return err
}

// Watches reports whether any part or cell is given to Watch. It looks at all of them.
func (b *Bench) Watches() bool {
	return slices.ContainsFunc(b.st, func(s state) bool { return s.flags&fRec != 0 })
}

// Unwatch takes a Watch back.
func (b *Bench) Unwatch(t Target) error {
	s, err := b.targetSite(t)
	if err == nil {
		b.edited()
		b.st[s].flags &^= fRec
	}
	return err
}

// OnLevel has f told of every conductor whose level changes, when it tells: also of one that stays live, which is no event. cause is
// the event that it tells as, or that of the change that did it. nil: nobody is told. f must not touch the bench.
func (b *Bench) OnLevel(f func(id ID, level int, cause EventID)) { b.levels = f }

// EventCount is how many events are kept; their IDs run from 1 to this.
func (b *Bench) EventCount() int { return b.n }

// Event returns an event that is kept.
func (b *Bench) Event(id EventID) Event {
	e := *b.kept(id)
	e.Cause = unmarked(e.Cause)
	return e
}

// kept is an event as the log has it: what a marked stimulus caused has the mark as its cause.
func (b *Bench) kept(id EventID) *Event {
	i := int(id) - 1
	return &b.chunks[i/chunkSize].ev[i&(chunkSize-1)]
}

// Events goes through the events from one on, 1 being the first.
func (b *Bench) Events(from EventID) iter.Seq2[EventID, Event] {
	return func(yield func(EventID, Event) bool) {
		for id := max(from, 1); int(id) <= b.n; id++ {
			if !yield(id, b.Event(id)) {
				return
			}
		}
	}
}

// ForgetEvents empties the log; its memory is kept for the events to come. Causes of
// what is still to come are forgotten too.
func (b *Bench) ForgetEvents() {
	b.edited()
	b.holes = b.holes || b.n > 0
	b.drop()
	b.forgetCauses()
}

func (b *Bench) forgetCauses() {
	for i := range b.cur {
		b.cur[i].cause = 0
	}
	for i := range b.next {
		b.next[i].cause = 0
	}
	for i := range b.news {
		b.news[i].cause = 0
	}
	for i := range b.due {
		b.due[i].cause = 0
	}
	for _, slot := range b.slots {
		for i := range slot {
			slot[i].cause = 0
		}
	}
	for i := range b.later {
		b.later[i].cause = 0
	}
}
