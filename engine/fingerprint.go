package engine

import (
	"slices"

	"pulsewright/engine/kinds"
)

// Fingerprint sums up the state of every part, cell and timer, apart from the time, the
// log and the counters: equal states have equal fingerprints. Timers count relative to now.
func (b *Bench) Fingerprint() uint64 {
	b.rankShelf()
	var all uint64 // of sites and cords, whose numbers mean nothing: a sum
	for s := range b.st {
		st := &b.st[s]
		if st.kind == Bare && st.slug == 0 && st.forced == 0 {
			continue
		}
		flags := st.flags & (fOn | fQueued | fTransit | fTimer | fReady)
		h := b.spot(int32(s)).Add(uint64(st.kind), uint64(flags), uint64(st.op), uint64(st.slug), uint64(st.pw), uint64(st.nin),
			uint64(st.n), uint64(st.fed), uint64(st.forced), uint64(b.site[s].facing))
		if st.kind == Told {
			h = h.Add(b.spec(int32(s)).Digest())
		}
		if i := b.extOf[s]; i >= 0 {
			x := &b.ext[i]
			h = h.Add(uint64(x.reject), uint64(x.room), uint64(x.keep))
			for _, p := range x.pending {
				h = h.Add(uint64(p.tick-b.tick), kinds.Bit(p.on))
			}
		}
		all += uint64(h)
	}
	for k, c := range b.cords {
		if !c.gone {
			all += uint64(b.spot(b.ends[k].from).Add(uint64(b.spot(c.to)), kinds.Bit(c.power), kinds.Bit(c.news), kinds.Bit(c.inv), kinds.Bit(b.cordOn[k])))
		}
	}
	// What waits has an order of its own.
	h := kinds.Digest(all)
	due := func(t timer, in int64) {
		if b.cancelled(t) {
			return
		}
		h = h.Add(uint64(b.spot(t.site)), uint64(t.what), uint64(in))
		if t.what == tStim {
			m := b.stims[t.arg]
			h = h.Add(uint64(m.what), uint64(m.steps), uint64(m.ticks), kinds.Bit(m.late), kinds.Bit(m.around))
		}
	}
	for _, t := range b.due[b.dueHead:] {
		due(t, 0)
	}
	later := slices.Clone(b.later)
	slices.SortFunc(later, func(x, y laterTimer) int {
		if x.tick != y.tick {
			return int(x.tick - y.tick)
		}
		return int(x.seq) - int(y.seq)
	})
	for _, t := range later {
		due(t.timer, t.tick-b.tick)
	}
	if b.some != (slotSet{}) {
		for d := int64(0); d < 256; d++ {
			for _, t := range b.slots[(b.tick+d)&255] {
				due(t, d)
			}
		}
	}
	for _, a := range b.cur[min(b.head, len(b.cur)):] {
		h = h.Add(1, uint64(b.spot(a.site)))
	}
	for _, a := range b.next {
		h = h.Add(2, uint64(b.spot(a.site)))
	}
	for _, e := range b.edges {
		h = h.Add(3, uint64(e.tick-b.tick), uint64(e.step), kinds.Bit(e.late), uint64(b.spot(b.stims[e.stim].site)))
	}
	return uint64(h)
}

// rankShelf counts the parts on the shelf in the order in which they were placed: each is known by its number, whatever its ID.
func (b *Bench) rankShelf() {
	b.ranks = b.ranks[:0]
	var n int32
	for id := 1; id < len(b.things); id++ {
		if t := &b.things[id]; t.shelf && !t.removed {
			for len(b.ranks) < len(b.site) {
				b.ranks = append(b.ranks, 0)
			}
			n++
			b.ranks[t.site] = n
		}
	}
}

// spot is a digest of where a site lies, whatever its number.
func (b *Bench) spot(s int32) kinds.Digest {
	if b.site[s].shelf {
		return kinds.Digest(1).Add(uint64(b.ranks[s]))
	}
	c := b.cell[s]
	return kinds.Digest(0).Add(uint64(c.X), uint64(c.Y), uint64(c.Z))
}
