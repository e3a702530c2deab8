package engine

import (
	"fmt"
	"slices"
)

// Runaway is the error of a tick over its budget of turns. The bench is at a whole turn.
type Runaway struct {
	At     Instant
	Turns  int64 // the budget
	Parts  []ID  // those that keep telling each other, in the order in which they act in one period
	Period int   // in steps; 0 if none was found
	names  []string
}

func (r *Runaway) Error() string {
	s := fmt.Sprintf("tick %d does not end: %d turns, and step %d is reached", r.At.Tick, r.Turns, r.At.Step)
	const most = 8
	names := r.names
	more := ""
	if len(names) > most {
		more = fmt.Sprintf(" and %d more", len(names)-most)
		names = names[:most]
	}
	list := ""
	for i, n := range names {
		if i > 0 {
			list += ", "
		}
		list += n
	}
	if len(r.names) == 0 {
		return s
	}
	if r.Period == 0 {
		return s + "; still acting: " + list + more
	}
	return s + fmt.Sprintf("; every %d steps the same parts tell each other again: %s%s", r.Period, list, more)
}

// runaway diagnoses a tick that does not end, on a copy of the bench: it runs on and looks
// for the shortest period after which the same parts act in the same way.
func (b *Bench) runaway(turns int64) error {
	r := &Runaway{At: b.Now(), Turns: turns}
	c := b.Snapshot().Bench()
	c.Record(RecordNone)
	const mostActs, mostSteps = 200_000, 20_000
	type doing struct {
		site int32
		on   bool
	}
	var steps [][]doing
	var now []doing
	step := c.step
	for acts := 0; acts < mostActs && len(steps) < mostSteps && c.ready(c.tick); acts++ {
		if c.step != step {
			steps = append(steps, now)
			now, step = nil, c.step
		}
		if c.phase == main && c.step > 0 && c.fall < 0 {
			s := c.cur[c.head].site
			now = append(now, doing{s, c.st[s].on()})
		}
		c.runReady()
		if c.broken != nil {
			break
		}
	}
	if len(steps) > 1 {
		steps = steps[1:] // the first may have been under way
	}
	n := len(steps)
	for p := 1; p <= n/2 && r.Period == 0; p++ {
		same := true
		for i := n - 1; i >= max(p, n-3*p) && same; i-- {
			same = slices.Equal(steps[i], steps[i-p])
		}
		if same {
			r.Period = p
		}
	}
	span := r.Period
	if span == 0 {
		span = min(n, 64)
	}
	seen := map[ID]bool{}
	for i := max(0, n-span); i < n; i++ {
		for _, d := range steps[i] {
			if id := b.id[d.site]; !seen[id] {
				seen[id] = true
				r.Parts = append(r.Parts, id)
				r.names = append(r.names, b.Label(id))
			}
		}
	}
	return r
}
