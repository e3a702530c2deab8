package engine

import (
	"errors"
	"slices"
)

// The causes of an event end in a stimulus. To know which one, also where not all is recorded, stimuli can be marked: in
// place of the cause it does not have a marked stimulus has its mark, and hands it on to all that comes of it.

// marked tells a mark from the number of an event.
const marked EventID = 1 << 31

// unmarked is a cause as others see it: a mark is none.
func unmarked(id EventID) EventID {
	if id >= marked {
		return 0
	}
	return id
}

// Mark gives the stimuli given from now on a mark, a number from 1; with 0 they have none.
func (b *Bench) Mark(mark int) {
	b.mark = 0
	if mark > 0 {
		b.mark = marked | EventID(mark)
	}
}

// Root is the mark of the stimulus that the causes of an event lead back to; 0 if that has none, or causes were forgotten.
func (b *Bench) Root(id EventID) int {
	for id != 0 && id < marked {
		id = b.kept(id).Cause
	}
	return int(id &^ marked)
}

// leading gives the events that lead back to a mark, numbered from 1, and what their numbers are in the log.
func (b *Bench) leading(mark int) (stay []Event, were []EventID) {
	if mark <= 0 {
		return nil, nil
	}
	n := 0
	roots := slices.Grow(b.roots[:0], b.n+1)[:b.n+1] // of each event, as a mark
	b.roots = roots
	roots[0] = 0
	for id := EventID(1); int(id) <= b.n; id++ {
		root := b.kept(id).Cause
		if root < marked {
			root = roots[root]
		}
		if roots[id] = root; root == marked|EventID(mark) {
			n++
		}
	}
	stay, were = make([]Event, 0, n), make([]EventID, 0, n)
	for id := EventID(1); len(were) < n; id++ {
		if roots[id] != marked|EventID(mark) {
			continue
		}
		e := b.kept(id)
		stays := *e
		if e.Cause < marked { // of one root: what stays has its cause with it
			i, _ := slices.BinarySearch(were, e.Cause)
			stays.Cause = EventID(i + 1)
		}
		stay, were = append(stay, stays), append(were, id)
	}
	return stay, were
}

var errSifted = errors.New("no time can pass while some of the log is hidden")

// Sift leaves in the log only the events that lead back to a mark, numbered from 1, until back is called, which brings the log back as it was. It
// returns what their numbers were. Meanwhile no time passes, for causes of what is still to come are numbered otherwise; back reports whether it was to.
func (b *Bench) Sift(mark int) (were []EventID, back func() (refused bool)) {
	all, broken := b.log, b.broken
	b.broken, b.refused = errSifted, false
	stay, were := b.leading(mark)
	b.log = log{recording: all.recording, n: len(stay)}
	for events := range slices.Chunk(stay, chunkSize) {
		b.chunks = append(b.chunks, &chunk{events})
	}
	return were, func() bool {
		b.log, b.broken = all, broken
		return b.refused
	}
}

// ForgetOthers empties the log of all events that do not lead back to a mark, and numbers those that stay from 1. It returns
// what their numbers were. Causes of what is still to come are forgotten.
func (b *Bench) ForgetOthers(mark int) (were []EventID) {
	b.edited()
	stay, were := b.leading(mark)
	b.drop()
	b.forgetCauses()
	for i, e := range stay {
		if i%chunkSize == 0 {
			b.addChunk(i/chunkSize, b.newChunk(i/chunkSize))
		}
		c := b.chunks[i/chunkSize]
		c.ev = append(c.ev, e)
		b.n++
	}
	return were
}
