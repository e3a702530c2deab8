package engine

import (
	"context"
	"math"
)

// Before returns a bench of its own that stands as this one did just before the turn in which event id happened. nil if the
// history does not reach back so far. An error is *Stopped, once the context has ended.
func (b *Bench) Before(ctx context.Context, id EventID) (*Bench, error) {
	marks := b.past.marks
	i := len(marks) - 1
	for i >= 0 && marks[i].log.n >= int(id) {
		i--
	}
	if i < 0 || id == 0 || int(id) > b.n {
		return nil, nil
	}
	// The first run finds the turn, the second ends before it.
	turns := int64(math.MaxInt64)
	for range 2 {
		c := &Bench{}
		c.restore(marks[i].Snapshot)
		for n := 0; c.n < int(id) && c.turns < turns; n++ {
			if n%between == 0 && ctx.Err() != nil {
				return nil, &Stopped{b.Now(), ctx.Err()}
			}
			if c.broken != nil || !c.ready(math.MaxInt64) {
				return nil, nil
			}
			c.runReady()
		}
		if c.turns == turns {
			return c, nil
		}
		turns = c.turns - 1
	}
	return nil, nil
}

// Posed calls see for each part, with how it stood before the first turn that followed its placing, as far as the history knows. A part
// that was placed after the last turn stands so now.
func (b *Bench) Posed(see func(ID, State)) {
	known := 1
	look := func(c *Bench) {
		for ; known < len(c.things); known++ {
			if t := &c.things[known]; t.kind != Bare && !t.removed {
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
