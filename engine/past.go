package engine

import (
	"context"
	"math"
)

// BeforeTurn returns a bench of its own that stands as this one did just before an instant: all turns before it have run, and no other. nil if
// the history does not reach back so far. An error is *Stopped, once the context has ended.
func (b *Bench) BeforeTurn(ctx context.Context, at Instant) (*Bench, error) {
	marks := b.past.marks
	i := len(marks) - 1
	for i >= 0 && marks[i].clock.reached(at) {
		i--
	}
	if i < 0 {
		return nil, nil
	}
	turns := b.turns // those that have run by then
	if i+1 < len(marks) {
		turns = marks[i+1].clock.turns
	}
	// The first run finds the turn, the second ends before it.
	for range 2 {
		c := &Bench{}
		c.restore(marks[i].Snapshot)
		for n := 0; c.turns < turns; n++ {
			if n%between == 0 && ctx.Err() != nil {
				return nil, &Stopped{b.Now(), ctx.Err()}
			}
			if c.broken != nil || !c.ready(math.MaxInt64) {
				return nil, nil
			}
			if c.runReady(); !c.at.Before(at) {
				turns = c.turns - 1
			}
		}
		if c.turns == turns {
			return c, nil
		}
	}
	return nil, nil
}

// reached reports whether a turn has run at an instant or later, or the tick of that instant has begun without one.
func (c *clock) reached(at Instant) bool {
	if c.at.Tick != c.tick {
		return c.tick >= at.Tick
	}
	return c.turns > 0 && !c.at.Before(at)
}

// Posed calls see for each part and each loose slug's bare cell, with how it stood before the first turn that followed its placing, as far as the history knows. A part
// that was placed after the last turn stands so now.
func (b *Bench) Posed(see func(ID, State)) {
	known := 1
	look := func(c *Bench) {
		for ; known < len(c.things); known++ {
			if t := &c.things[known]; !t.removed && (t.kind != Bare || c.st[t.site].loose()) {
				see(ID(known), c.stateOf(t.site))
			}
		}
	}
	for i := range b.past.marks {
		if m := &b.past.marks[i]; len(m.topo.things) > known {
			c := &Bench{}
			c.restore(m.Snapshot)
			look(c)
		}
	}
	if len(b.past.marks) > 0 || b.turns == 0 {
		look(b)
	}
}
