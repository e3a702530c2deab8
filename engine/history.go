package engine

import "slices"

// history keeps snapshots to go back to: one before each run that follows an edit or a
// stimulus, and one every few thousand turns, thinned out as they grow many. Between two
// of them nothing happens but turns, so what lies between can be run again.
type history struct {
	on    bool
	dirty bool // something from outside happened since the last snapshot
	marks []*Snapshot
	bytes int
}

const (
	historyTurns = 1 << 15   // turns between snapshots in a long run
	historyBytes = 256 << 20 // most that all snapshots together may take
)

// KeepHistory makes runs keep the snapshots that Back needs. It is off on a fresh bench.
func (b *Bench) KeepHistory(on bool) {
	b.past = history{on: on, dirty: true}
}

// before is called at a whole turn, before the next.
func (h *history) before(b *Bench) {
	if !h.on {
		return
	}
	if n := len(h.marks); !h.dirty && n > 0 && b.turns-h.marks[n-1].clock.turns < historyTurns {
		return
	}
	h.dirty = false
	s := b.Snapshot()
	s.past = nil // or it would keep what thin drops
	h.marks = append(h.marks, s)
	h.bytes += s.Size()
	for h.bytes > historyBytes && len(h.marks) > 2 {
		h.thin()
	}
}

// thin drops the oldest quarter's every other snapshot, or the oldest.
func (h *history) thin() {
	h.bytes -= h.marks[0].Size()
	h.marks = slices.Clone(h.marks[1:]) // snapshots share the list
}

// rejoin takes up the history that a snapshot had before it.
func (h *history) rejoin(marks []*Snapshot) {
	*h = history{on: h.on, dirty: true, marks: marks[:len(marks):len(marks)]}
	for _, m := range h.marks {
		h.bytes += m.Size()
	}
}

// Back goes back n turns, or as far as the history reaches, and returns how many turns it
// went back. Stimuli given after that moment are taken back too.
func (b *Bench) Back(n int64) (int64, error) {
	want := b.turns - n
	h := &b.past
	i := len(h.marks) - 1
	for i > 0 && h.marks[i].clock.turns > want {
		i--
	}
	if i < 0 {
		return 0, nil
	}
	from := b.turns
	s := h.marks[i]
	keep := *h
	heard := b.heard
	b.heard = nil
	b.restore(s)
	for b.turns < want && b.broken == nil && b.ready(1<<62) {
		b.runReady()
	}
	b.heard = heard
	b.quicken()
	keep.marks = keep.marks[: i+1 : i+1]
	keep.bytes = 0
	for _, m := range keep.marks {
		keep.bytes += m.Size()
	}
	keep.dirty = false
	b.past = keep
	return from - b.turns, b.broken
}
