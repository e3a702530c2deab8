package engine

import "iter"

// Every event but a stimulus knows the event that caused it, so the story of a change is a
// walk along causes. A cause is always an earlier event: the walk ends.

// Causes goes back along the causes of an event: the event itself, what caused it, what
// caused that, and so on to one without a cause.
func (b *Bench) Causes(id EventID) iter.Seq2[EventID, Event] {
	return func(yield func(EventID, Event) bool) {
		for id != 0 && int(id) <= b.n {
			e := b.Event(id)
			if !yield(id, e) {
				return
			}
			id = e.Cause
		}
	}
}

// Stimulus reports whether an event was somebody's doing: a cell forced or let go, a nudge,
// a key pressed or released by hand.
func (b *Bench) Stimulus(e Event) bool {
	if e.Cause != 0 {
		return false
	}
	switch e.What {
	case Forced, Freed, Nudged:
		return true
	case On, Off:
		return b.KindOf(e.ID) == Key
	}
	return false
}

// Span is one or more events of a chain of causes. Several are folded into one if they
// are the same word at the same kind of part, one regularly after the other.
type Span struct {
	Last, First EventID // the latest and the earliest of its events
	N           int     // how many events

	// Of folded events: what lies between one and the next. Steps count if Ticks is 0.
	Ticks int64
	Steps int

	// If Again is not 0, this span stands for the Again spans before it: with other
	// parts they come once more, Times times.
	Again, Times int
}

// Folding starts at three, for a fold must say more than two lines would. A pattern that
// comes again has at most mostAgain spans: a station of a line has about ten.
const (
	foldFrom  = 3
	mostAgain = 32
)

// Why returns the chain of causes of an event, from the event back to one without a cause,
// repeats folded. It takes time in proportion to the length of the chain.
func (b *Bench) Why(id EventID) []Span {
	w := walker{b: b, id: id}
	var out []Span
	for {
		ahead := w.ahead(2 * mostAgain)
		if len(ahead) == 0 {
			return out
		}
		p := period(ahead)
		if p == 0 {
			out = append(out, ahead[0].Span)
			w.drop(1)
			continue
		}
		pattern := append([]run(nil), ahead[:p]...)
		for _, r := range pattern {
			out = append(out, r.Span)
		}
		w.drop(p)
		again := Span{Again: p}
		for {
			next := w.ahead(p)
			if !alike(pattern, next) {
				break
			}
			if again.Times == 0 {
				again.Last = next[0].Last
			}
			again.First = next[p-1].First
			again.Times++
			for _, r := range next[:p] {
				again.N += r.N
			}
			w.drop(p)
		}
		out = append(out, again)
	}
}

// run is a span that repeats nothing; shape is equal for runs that look alike.
type run struct {
	Span
	shape uint64
}

// period finds the shortest pattern at the front of runs that comes again at once, often
// enough to be worth a line; 0 if there is none.
func period(runs []run) int {
	for p := 1; 2*p <= len(runs); p++ {
		if runs[0].shape != runs[p].shape {
			continue
		}
		times := 0
		for alike(runs[:p], runs[(times+1)*p:]) && times*p < foldFrom {
			times++
		}
		if times*p >= foldFrom {
			return p
		}
	}
	return 0
}

// alike reports whether what begins with other looks like pattern.
func alike(pattern, other []run) bool {
	if len(other) < len(pattern) {
		return false
	}
	for i := range pattern {
		if pattern[i].shape != other[i].shape {
			return false
		}
	}
	return true
}

// walker goes along a chain of causes and folds like events into runs.
type walker struct {
	b    *Bench
	id   EventID // where the next run begins; 0 at the end
	runs []run   // found but not yet dropped, from head on
	head int
}

// ahead finds the next n runs; fewer at the end of the chain.
func (w *walker) ahead(n int) []run {
	if len(w.runs)-w.head < n && w.head > 0 {
		w.runs = append(w.runs[:0], w.runs[w.head:]...)
		w.head = 0
	}
	for len(w.runs)-w.head < n && w.id != 0 {
		w.next()
	}
	return w.runs[w.head:]
}

func (w *walker) drop(n int) { w.head += n }

// next finds one more run, or two: two events are no fold.
func (w *walker) next() {
	e := w.b.event(w.id)
	kind, what := w.b.things[e.ID].kind, e.What
	r := run{Span: Span{Last: w.id, First: w.id, N: 1}, shape: uint64(kind) | uint64(what)<<8}
	for w.id = unmarked(e.Cause); w.id != 0; w.id = unmarked(e.Cause) {
		c := w.b.event(w.id)
		if c.What != what || w.b.things[c.ID].kind != kind {
			break
		}
		ticks, steps := e.Tick-c.Tick, int(e.Step-c.Step)
		if ticks > 0 {
			steps = int(e.Step)
		}
		if r.N == 1 {
			r.Ticks, r.Steps = ticks, steps
		} else if ticks != r.Ticks || steps != r.Steps {
			break
		}
		r.First = w.id
		r.N++
		e = c
	}
	switch r.N {
	case 1:
		w.runs = append(w.runs, r)
	case 2:
		one := run{Span: Span{Last: r.Last, First: r.Last, N: 1}, shape: r.shape}
		other := run{Span: Span{Last: r.First, First: r.First, N: 1}, shape: r.shape}
		w.runs = append(w.runs, one, other)
	default:
		r.shape ^= (uint64(r.N)<<40 ^ uint64(r.Ticks)<<20 ^ uint64(r.Steps)) * 0x9E3779B97F4A7C15
		w.runs = append(w.runs, r)
	}
}

// event is Event without the copy.
func (b *Bench) event(id EventID) *Event {
	i := int(id) - 1
	return &b.chunks[i/chunkSize].ev[i&(chunkSize-1)]
}

// LastChange returns the latest event that changed what stands at a part or cell, before an
// event (0: before what is to come): an event of its own other than lapses and blocked, a
// token that came or went, a slug that came or went. 0 if there is none.
func (b *Bench) LastChange(id ID, before EventID) EventID {
	if before == 0 {
		before = EventID(b.n + 1)
	}
	touch := b.touching(id)
	for i := before - 1; i > 0; i-- {
		e := b.event(i)
		for _, t := range touch {
			if e.ID == t.id && t.words>>e.What&1 != 0 {
				return i
			}
		}
	}
	return 0
}

// touch says which events of a part change another.
type touch struct {
	id    ID
	words uint32 // a bit for each What
}

// touching lists whose events change the part or cell.
func (b *Bench) touching(id ID) []touch {
	t := []touch{{id, ^uint32(1<<Lapses | 1<<Blocked)}}
	if id == 0 || int(id) >= len(b.things) || b.things[id].removed || b.things[id].shelf {
		return t
	}
	s := b.things[id].site
	holder := b.isHolder(s)
	for d, n := range b.site[s].nbr {
		if n < 0 {
			continue
		}
		toward := b.site[n].facing == Dir(d)^1
		switch k := b.st[n].kind; {
		case k == Bucket && holder && toward:
			t = append(t, touch{b.id[n], 1 << Passes})
		case k == Chute && holder && (toward || b.site[n].facing == Dir(d)):
			t = append(t, touch{b.id[n], 1 << Moves})
		}
		if b.st[n].kind == Bucket && holder && Dir(d) == PosZ {
			t = append(t, touch{b.id[n], 1 << Drops})
		}
	}
	for _, sh := range b.seatedBy(s) {
		t = append(t, touch{b.id[sh], 1<<Out | 1<<Home | 1<<Lands})
	}
	return t
}

// bringers lists the parts that could bring a token to the holder at s.
func (b *Bench) bringers(s int32) (from []ID) {
	for d, n := range b.site[s].nbr {
		if n < 0 {
			continue
		}
		toward := b.site[n].facing == Dir(d)^1
		switch k := b.st[n].kind; {
		case (k == Bucket || k == Chute) && toward, k == Bucket && Dir(d) == PosZ:
			from = append(from, b.id[n])
		}
	}
	return from
}

// seatedBy lists the shuttles that have a seat in cell s.
func (b *Bench) seatedBy(s int32) []int32 {
	var found []int32
	for d, n := range b.site[s].nbr {
		for range 2 {
			if n < 0 {
				break
			}
			if b.st[n].kind == Shuttle && b.site[n].facing == Dir(d)^1 && Slug(b.st[n].op) != NoSlug {
				found = append(found, n)
			}
			n = b.site[n].nbr[d]
		}
	}
	return found
}

// sitter is the shuttle whose slug sits in cell s or is on its way there; -1 if there is none.
func (b *Bench) sitter(s int32) int32 {
	for _, sh := range b.seatedBy(s) {
		if b.heads(sh) == s {
			return sh
		}
	}
	return -1
}
