package engine

import "slices"

// history keeps snapshots to go back to: one before each run that follows an edit or a
// stimulus, and one after so much work. Between two of them nothing happens but turns, so
// what lies between can be run again. As they grow many they are thinned: dense near now,
// sparse far back.
type history struct {
	on    bool
	dirty bool // something from outside happened since the last snapshot
	marks []mark
	bytes int // that the snapshots take
	most  int // that they may take
}

// mark is a snapshot to go back to.
type mark struct {
	*Snapshot
	size   int
	edited bool // something from outside happened just before it: it cannot be run up to
}

const (
	historyWork  = 1 << 17   // least work between snapshots in a long run: some milliseconds to run again
	historyBytes = 256 << 20 // most that all snapshots together may take
)

// KeepHistory makes runs keep the snapshots that Back needs. It is off on a fresh bench.
func (b *Bench) KeepHistory(on bool) {
	b.past = history{on: on, dirty: true, most: historyBytes}
}

// work is about how much time has gone into running, in units of some ten nanoseconds.
func (c Counters) work() int64 { return c.Turns + c.News + c.Levels }

// before is called at a whole turn, before the next.
func (h *history) before(b *Bench) {
	if !h.on {
		return
	}
	if n := len(h.marks); !h.dirty && n > 0 {
		// A snapshot copies every site, so of a large bench there are fewer.
		if b.counts.work()-h.marks[n-1].counts.work() < historyWork+2*int64(len(b.st)) {
			return
		}
	}
	s := b.Snapshot()
	s.past = nil // or it would keep what thin drops
	h.marks = append(h.marks, mark{s, s.Size(), h.dirty})
	h.bytes += s.Size()
	h.dirty = false
	for h.bytes > h.most && len(h.marks) > 2 {
		h.thin()
	}
}

// thin drops the snapshot that leaves the smallest gap for how long ago it is. Those that
// follow an edit cannot be run up to; the oldest goes if only such are left.
func (h *history) thin() {
	now := h.marks[len(h.marks)-1].counts.work()
	drop, least := 0, 0.0
	for i := 1; i < len(h.marks)-1; i++ {
		if h.marks[i].edited {
			continue
		}
		gap := h.marks[i+1].counts.work() - h.marks[i-1].counts.work()
		ago := now - h.marks[i].counts.work() + 1
		if rel := float64(gap) / float64(ago); drop == 0 || rel < least {
			drop, least = i, rel
		}
	}
	h.bytes -= h.marks[drop].size
	h.marks = slices.Concat(h.marks[:drop], h.marks[drop+1:]) // snapshots share the list
}

// rejoin takes up the history that a snapshot had before it.
func (h *history) rejoin(marks []mark) {
	*h = history{on: h.on, dirty: true, most: h.most, marks: marks[:len(marks):len(marks)]}
	for _, m := range marks {
		h.bytes += m.size
	}
}

// from finds the last snapshot that is not after so many turns; -1 if there is none.
func (h *history) from(turns int64) int {
	i := len(h.marks) - 1
	for i >= 0 && h.marks[i].clock.turns > turns {
		i--
	}
	return i
}

// lastEdit finds the snapshot before something was last placed, removed or given as a stimulus
// that turns have followed; nil if there is none.
func (b *Bench) lastEdit() *mark {
	for i := len(b.past.marks) - 1; i >= 0; i-- {
		if m := &b.past.marks[i]; m.edited && m.clock.turns < b.turns {
			return m
		}
	}
	return nil
}

// LastEdit returns the instant of the last turn before something was placed, removed or given
// as a stimulus that turns have followed; ok is false if the history knows of none.
func (b *Bench) LastEdit() (at Instant, ok bool) {
	if m := b.lastEdit(); m != nil {
		return m.clock.at, true
	}
	return Instant{}, false
}

// LastRun returns what has been spent since LastEdit.
func (b *Bench) LastRun() (spent Counters, ok bool) {
	if m := b.lastEdit(); m != nil {
		spent = b.Counters().Sub(m.counts)
		spent.PeakNews = 0 // of all time, not of this
		return spent, true
	}
	return Counters{}, false
}

// Back goes back n turns, or as far as the history reaches, and returns how many turns it
// went back. Stimuli given after that moment are taken back too.
func (b *Bench) Back(n int64) (int64, error) {
	h := &b.past
	if len(h.marks) == 0 {
		return 0, nil
	}
	want := b.turns - n
	i := max(h.from(want), 0)
	from := b.turns
	keep := *h
	heard := b.heard
	b.heard = nil
	b.restore(h.marks[i].Snapshot)
	keep.marks = keep.marks[: i+1 : i+1]
	keep.bytes = 0
	for _, m := range keep.marks {
		keep.bytes += m.size
	}
	keep.dirty = false
	for b.turns < want && b.broken == nil && b.ready(1<<62) {
		b.runReady()
	}
	b.heard = heard
	b.quicken()
	b.past = keep
	return from - b.turns, b.broken
}
