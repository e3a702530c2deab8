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

// Stretch is one or more events of a chain of causes. Several are folded into one if they
// are the same word at the same kind of part, one regularly after the other.
type Stretch struct {
	Last, First EventID // the latest and the earliest of its events
	N           int     // how many events

	// Of folded events: what lies between one and the next. Steps count if Ticks is 0.
	Ticks int64
	Steps int

	// If Again is not 0, this stretch stands for the Again stretches before it: with other
	// parts they come once more, Times times.
	Again, Times int
}

// Folding starts at three, for a fold must say more than two lines would. A pattern that
// comes again has at most mostAgain stretches: a station of a line has about ten.
const (
	foldFrom  = 3
	mostAgain = 32
)

// Why returns the chain of causes of an event, from the event back to one without a cause,
// repeats folded. It takes time in proportion to the length of the chain.
func (b *Bench) Why(id EventID) []Stretch {
	return foldAgain(b.foldRuns(id))
}

// run is a stretch on its way to be folded: shape is equal for stretches that look alike.
type run struct {
	last, first EventID
	n           int32
	steps       int32
	ticks       int64
	shape       uint64
}

// foldRuns folds what happens to part after part in the same way.
func (b *Bench) foldRuns(id EventID) []run {
	var runs []run
	var r run   // the one under way
	var e Event // its earliest event
	var kind Kind
	for cid, c := range b.Causes(id) {
		k := b.things[c.ID].kind
		if r.n > 0 && k == kind && c.What == e.What {
			ticks, steps := e.Tick-c.Tick, e.Step-c.Step
			if ticks > 0 {
				steps = e.Step
			}
			if r.n == 1 {
				r.ticks, r.steps = ticks, steps
			}
			if ticks == r.ticks && steps == r.steps {
				r.first, r.n, e = cid, r.n+1, c
				continue
			}
		}
		runs = closeRun(runs, r, kind, e.What)
		r, e, kind = run{last: cid, first: cid, n: 1}, c, k
	}
	return closeRun(runs, r, kind, e.What)
}

// closeRun appends a run that is complete; two events are no fold.
func closeRun(runs []run, r run, k Kind, w What) []run {
	r.shape = uint64(k) | uint64(w)<<8
	switch r.n {
	case 0:
		return runs
	case 1:
		return append(runs, r)
	case 2:
		return append(runs, run{last: r.last, first: r.last, n: 1, shape: r.shape}, run{last: r.first, first: r.first, n: 1, shape: r.shape})
	}
	r.shape ^= (uint64(r.n)<<40 ^ uint64(r.ticks)<<20 ^ uint64(r.steps)) * 0x9E3779B97F4A7C15
	return append(runs, r)
}

// foldAgain folds patterns of several stretches that come again and again.
func foldAgain(runs []run) []Stretch {
	out := make([]Stretch, 0, min(len(runs), 64))
	one := func(r run) {
		out = append(out, Stretch{Last: r.last, First: r.first, N: int(r.n), Ticks: r.ticks, Steps: int(r.steps)})
	}
	for i := 0; i < len(runs); {
		period, times := 0, 0
		for p := 1; p <= mostAgain && i+2*p <= len(runs); p++ {
			if runs[i].shape != runs[i+p].shape || !alike(runs[i:i+p], runs[i+p:]) {
				continue
			}
			for times = 1; alike(runs[i:i+p], runs[i+(times+1)*p:]); times++ {
			}
			if period = p; times*p >= foldFrom {
				break
			}
			period = 0
		}
		if period == 0 {
			one(runs[i])
			i++
			continue
		}
		for _, r := range runs[i : i+period] {
			one(r)
		}
		again := runs[i+period : i+(times+1)*period]
		n := 0
		for _, r := range again {
			n += int(r.n)
		}
		out = append(out, Stretch{Last: again[0].last, First: again[len(again)-1].first, N: n, Again: period, Times: times})
		i += (times + 1) * period
	}
	return out
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

// LastChange returns the latest event that changed what stands at a part or cell, before an
// event (0: before what is to come): an event of its own other than lapses and blocked, a
// token that came or went, a slug that came or went. 0 if there is none.
func (b *Bench) LastChange(id ID, before EventID) EventID {
	if before == 0 {
		before = EventID(b.n + 1)
	}
	touch := b.touching(id)
	for i := before - 1; i > 0; i-- {
		e := &b.chunks[(i-1)/chunkSize].ev[(i-1)&(chunkSize-1)]
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
		near, farther := b.seats(sh)
		if b.st[sh].on() {
			near = farther
		}
		if near == s {
			return sh
		}
	}
	return -1
}
