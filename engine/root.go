package engine

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

// ForgetOthers empties the log of all events that do not lead back to a mark, and numbers those that stay from 1. It returns
// what their numbers were. Causes of what is still to come are forgotten.
func (b *Bench) ForgetOthers(mark int) (were []EventID) {
	b.edited()
	root := make([]EventID, b.n+1) // of each event, as a mark
	now := make([]EventID, b.n+1)  // its new number; 0: it goes
	var stay []Event
	for id := EventID(1); int(id) <= b.n; id++ {
		e := *b.kept(id)
		if e.Cause >= marked {
			root[id] = e.Cause
		} else if e.Cause != 0 {
			root[id], e.Cause = root[e.Cause], now[e.Cause] // of one root: what stays has its cause with it
		}
		if mark > 0 && root[id] == marked|EventID(mark) {
			stay, were = append(stay, e), append(were, id)
			now[id] = EventID(len(stay))
		}
	}
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
