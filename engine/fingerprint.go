package engine

import (
	"math/bits"
	"slices"
)

// Fingerprint sums up the state of every part, cell and timer, apart from the time, the
// log and the counters: equal states have equal fingerprints. Timers count relative to now.
func (b *Bench) Fingerprint() uint64 {
	var all uint64 // of sites and cords, whose numbers mean nothing: a sum
	for s := range b.st {
		st := &b.st[s]
		if st.kind == Bare && st.slug == 0 && st.forced == 0 {
			continue
		}
		flags := st.flags & (fOn | fQueued | fTransit | fTimer | fReady)
		h := b.spot(int32(s)).add(uint64(st.kind), uint64(flags), uint64(st.op), uint64(st.slug), uint64(st.pw), uint64(st.nin),
			uint64(st.n), uint64(st.fed), uint64(st.forced), uint64(b.site[s].facing))
		if st.kind == Told {
			h = h.add(b.spec(int32(s)).digest)
		}
		if i := b.extOf[s]; i >= 0 {
			x := &b.ext[i]
			h = h.add(uint64(x.reject), uint64(x.room), uint64(x.keep))
			for _, p := range x.pending {
				h = h.add(uint64(p.tick-b.tick), bit(p.on))
			}
		}
		all += uint64(h)
	}
	for k, c := range b.cords {
		if !c.gone {
			all += uint64(b.spot(b.ends[k].from).add(uint64(b.spot(c.to)), bit(c.power), bit(c.news), bit(c.inv), bit(b.cordOn[k])))
		}
	}
	// What waits has an order of its own.
	h := digest(all)
	due := func(t timer, in int64) {
		if b.cancelled(t) {
			return
		}
		h = h.add(uint64(b.spot(t.site)), uint64(t.what), uint64(in))
		if t.what == tStim {
			m := b.stims[t.arg]
			h = h.add(uint64(m.what), uint64(m.steps), uint64(m.ticks), bit(m.late), bit(m.around))
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
		h = h.add(1, uint64(b.spot(a.site)))
	}
	for _, a := range b.next {
		h = h.add(2, uint64(b.spot(a.site)))
	}
	for _, e := range b.edges {
		h = h.add(3, uint64(e.tick-b.tick), uint64(e.step), bit(e.late), uint64(b.spot(b.stims[e.stim].site)))
	}
	return uint64(h)
}

// digest is a sum that depends on the order of what is added.
type digest uint64

func (h digest) add(xs ...uint64) digest {
	for _, x := range xs {
		hi, lo := bits.Mul64(uint64(h)^0x9e3779b97f4a7c15, x^0xd6e8feb86659fd93)
		h = digest(bits.RotateLeft64(hi^lo, 29) + 0xa0761d6478bd642f)
	}
	return h
}

func bit(x bool) uint64 {
	if x {
		return 1
	}
	return 0
}

// spot is a digest of where a site lies, whatever its number.
func (b *Bench) spot(s int32) digest {
	if b.site[s].shelf {
		return digest(1).add(uint64(b.id[s]))
	}
	c := b.cell[s]
	return digest(0).add(uint64(c.X), uint64(c.Y), uint64(c.Z))
}
