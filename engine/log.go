package engine

import "iter"

// Recording says which events are kept.
type Recording uint8

const (
	RecordAll  Recording = iota // every event
	RecordSome                  // those of the parts and cells given to Watch
	RecordNone
)

const chunkSize = 1 << 12

// log keeps the events in chunks. Snapshots share chunks: an event is only ever written
// behind the last one of its chunk, or into a copy.
type log struct {
	recording Recording
	chunks    []*chunk
	n         int

	listShared bool // snapshots know this list of chunks
}

type chunk struct {
	used int
	ev   [chunkSize]Event
}

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
		c = new(chunk)
		b.addChunk(k, c)
	} else if c = b.chunks[k]; c.used != i {
		c = c.clone(i)
		b.addChunk(k, c)
	}
	c.used = i + 1
	c.ev[i] = Event{Tick: b.at.Tick, Step: int32(b.at.Step), Turn: int32(b.at.Turn), ID: b.id[s], Cause: cause, Arg: arg, What: w}
	b.n++
	return EventID(b.n)
}

// addChunk makes c the k-th chunk and the last. A list that snapshots know is copied first.
func (b *Bench) addChunk(k int, c *chunk) {
	if b.listShared {
		b.chunks = append(make([]*chunk, 0, 2*k+4), b.chunks[:k]...)
		b.listShared = false
	}
	b.chunks = append(b.chunks[:k], c)
}

func (c *chunk) clone(n int) *chunk {
	d := new(chunk)
	copy(d.ev[:n], c.ev[:n])
	d.used = n
	return d
}

// Record says which events are kept from now on; a fresh bench keeps all.
func (b *Bench) Record(r Recording) {
	b.edited()
	b.recording = r
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

// Unwatch takes a Watch back.
func (b *Bench) Unwatch(t Target) error {
	s, err := b.targetSite(t)
	if err == nil {
		b.edited()
		b.st[s].flags &^= fRec
	}
	return err
}

// EventCount is how many events are kept; their IDs run from 1 to this.
func (b *Bench) EventCount() int { return b.n }

// Event returns an event that is kept.
func (b *Bench) Event(id EventID) Event {
	i := int(id) - 1
	return b.chunks[i/chunkSize].ev[i&(chunkSize-1)]
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

// ForgetEvents empties the log. Causes of what is still to come are forgotten too.
func (b *Bench) ForgetEvents() {
	b.edited()
	b.log.chunks, b.log.n = nil, 0
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
