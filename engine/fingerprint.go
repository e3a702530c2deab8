package engine

import (
	"fmt"
	"hash/fnv"
	"slices"
)

// Fingerprint sums up the state of every part, cell and timer, apart from the time, the
// log and the counters: equal states have equal fingerprints. Timers count relative to now.
func (b *Bench) Fingerprint() uint64 {
	lines := make([]string, 0, len(b.st)+8)
	for s := range b.st {
		st := &b.st[s]
		if st.kind == Bare && st.slug == 0 && st.forced == 0 {
			continue
		}
		flags := st.flags & (fOn | fQueued | fTransit | fTimer | fReady)
		l := fmt.Sprint(b.place(int32(s)), st.kind, flags, st.op, st.slug, st.pw, st.nin, st.n, st.fed, st.forced, b.site[s].facing)
		if i := b.extOf[s]; i >= 0 {
			x := &b.ext[i]
			l += fmt.Sprint(x.reject, x.room, x.keep)
			for _, p := range x.pending {
				l += fmt.Sprint(" ", p.tick-b.tick, p.on)
			}
		}
		lines = append(lines, l)
	}
	for k, c := range b.cords {
		if !c.gone {
			lines = append(lines, fmt.Sprint("cord", b.place(b.ends[k].from), b.place(c.to), c.power, c.news, c.inv, b.cordOn[k]))
		}
	}
	slices.Sort(lines)
	h := fnv.New64a()
	for _, l := range lines {
		h.Write([]byte(l))
		h.Write([]byte{'\n'})
	}
	// What waits has an order of its own.
	due := func(what string, t timer, in int64) {
		if !b.cancelled(t) {
			fmt.Fprintln(h, what, b.place(t.site), t.what, in)
		}
	}
	for _, t := range b.due[b.dueHead:] {
		due("due", t, 0)
	}
	later := slices.Clone(b.later)
	slices.SortFunc(later, func(x, y laterTimer) int {
		if x.tick != y.tick {
			return int(x.tick - y.tick)
		}
		return int(x.seq) - int(y.seq)
	})
	for _, t := range later {
		due("later", t.timer, t.tick-b.tick)
	}
	for d := int64(0); d < 256; d++ {
		for _, t := range b.slots[(b.tick+d)&255] {
			due("soon", t, d)
		}
	}
	for _, a := range b.cur[min(b.head, len(b.cur)):] {
		fmt.Fprintln(h, "act", b.place(a.site))
	}
	for _, a := range b.next {
		fmt.Fprintln(h, "next", b.place(a.site))
	}
	for _, e := range b.edges {
		fmt.Fprintln(h, "edge", e.tick-b.tick, e.step, e.late, b.place(b.stims[e.stim].site))
	}
	return h.Sum64()
}

func (b *Bench) place(s int32) string {
	if b.site[s].shelf {
		return fmt.Sprint("shelf", b.id[s])
	}
	return fmt.Sprint(b.cell[s])
}
