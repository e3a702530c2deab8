package engine

import "slices"

// Snapshot is a bench at one moment. It does not change and may be used by many goroutines.
type Snapshot struct {
	rules  Rules
	topo   topo
	st     []state
	cordOn []bool
	ext    []extra
	clock  clock
	slots  [][]timer // those of the wheel that may hold any
	log    log
	counts Counters
	costs  tickCosts
	news   []told
	past   []mark // the history before it
}

// Snapshot keeps the bench as it is now. The topology and the log are shared, so it costs
// 16 bytes a site and what is queued; the next edit copies the topology.
func (b *Bench) Snapshot() *Snapshot {
	b.shared = true
	s := &Snapshot{b.rules, b.topo, slices.Clone(b.st), slices.Clone(b.cordOn), cloneExt(b.ext), clock{}, nil,
		b.log.share(), b.counts, b.costs.share(), slices.Clone(b.news[b.nhead:]), b.past.marks}
	s.clock.copy(&b.clock)
	for i := range b.some.each {
		s.slots = append(s.slots, slices.Clone(b.slots[i]))
	}
	return s
}

// Restore brings a snapshot of this bench back, its log, counters and history too.
func (b *Bench) Restore(s *Snapshot) {
	b.restore(s)
	b.past.rejoin(s.past)
}

func (b *Bench) restore(s *Snapshot) {
	b.rules, b.topo, b.shared = s.rules, s.topo, true
	b.st = append(b.st[:0], s.st...)
	b.cordOn = append(b.cordOn[:0], s.cordOn...)
	b.ext = cloneExt(s.ext)
	for i := range b.some.each {
		b.slots[i] = b.slots[i][:0]
	}
	b.clock.copy(&s.clock)
	k := 0
	for i := range b.some.each {
		b.slots[i] = append(b.slots[i][:0], s.slots[k]...)
		k++
	}
	b.log.rejoin(&s.log)
	b.counts = s.counts
	b.costs.rejoin(s.costs)
	b.news, b.nhead = append(b.news[:0], s.news...), 0
	b.was = slices.Grow(b.was[:0], len(b.st))[:len(b.st)]
	b.broken = nil
	b.version++
	b.quicken()
}

// Bench returns a bench of its own that goes on from the snapshot, with an empty log.
func (s *Snapshot) Bench() *Bench {
	b := &Bench{}
	b.restore(s)
	b.drop()
	b.costs.rows = nil
	b.forgetCauses()
	return b
}

// Unrun reports whether the bench has only been built: no turn has run, nothing is in the log.
func (s *Snapshot) Unrun() bool { return s.clock.turns == 0 && s.log.n == 0 }

// Size is about how many bytes the snapshot keeps that no other does.
func (s *Snapshot) Size() int {
	waiting := 0
	for _, slot := range s.slots {
		waiting += 24 + 16*len(slot)
	}
	return waiting + 16*len(s.st) + 16*(len(s.clock.cur)+len(s.clock.next)+len(s.clock.due)+len(s.news)) + len(s.cordOn) + 48*len(s.ext) + 2048
}

func cloneExt(x []extra) []extra {
	c := slices.Clone(x)
	for i := range c {
		if len(c[i].pending) > 0 {
			c[i].pending = slices.Clone(c[i].pending)
		} else {
			c[i].pending = nil
		}
	}
	return c
}

// copy makes c equal to s, in memory of its own that it used before.
func (c *clock) copy(s *clock) {
	own := *c
	*c = *s
	c.cur, c.next, c.due = append(own.cur[:0], s.cur...), append(own.next[:0], s.next...), append(own.due[:0], s.due...)
	c.looks, c.edges, c.stims = append(own.looks[:0], s.looks...), append(own.edges[:0], s.edges...), append(own.stims[:0], s.stims...)
	c.later = append(own.later[:0], s.later...)
}

// quicken notes whether news may take its short cuts.
func (b *Bench) quicken() { b.slow = b.rules.Reads == ByStep || b.heard != nil }
