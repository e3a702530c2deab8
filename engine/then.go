package engine

import (
	"context"
	"math"
)

// Then returns the bench as it stood at an instant: after the last turn that is not after it, and after what was placed or given
// before the next. It is a copy with the log and the history up to there, or the bench itself if it is not past. It is nil if
// the history does not reach back so far. The bench is not touched.
func (b *Bench) Then(ctx context.Context, at Instant) (*Bench, error) {
	if !at.Before(b.Now()) {
		return b, nil
	}
	marks := b.past.marks
	i := len(marks) - 1
	for i >= 0 && at.Before(marks[i].clock.now()) {
		i--
	}
	if i < 0 {
		return nil, nil
	}
	c := &Bench{}
	for turns := int64(-1); ; { // a second time, for looking whether another turn is due moves time on
		c.restore(marks[i].Snapshot)
		for n := 1; c.turns != turns && c.broken == nil && c.ready(math.MaxInt64) && !at.Before(Instant{c.tick, c.step, c.turn}); n++ {
			if n%between == 0 && ctx.Err() != nil {
				return nil, &Stopped{b.Now(), ctx.Err()}
			}
			c.runReady()
		}
		if turns >= 0 {
			break
		}
		turns = c.turns
	}
	c.past.rejoin(marks[:i+1])
	return c, nil
}

// Reaches is the earliest instant that Then reaches; ok is false without a history.
func (b *Bench) Reaches() (at Instant, ok bool) {
	if len(b.past.marks) == 0 {
		return b.Now(), false
	}
	return b.past.marks[0].clock.now(), true
}
