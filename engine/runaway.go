package engine

import "fmt"

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
	var (
		acted []int32  // the parts that acted, in order
		ends  []int    // where in acted each step ends
		sums  []uint64 // what happened in each step, in one number
		sum   = uint64(14695981039346656037)
	)
	step := c.step
	for acts := 0; acts < mostActs && len(ends) < mostSteps && c.ready(c.tick); acts++ {
		if c.step != step {
			ends, sums = append(ends, len(acted)), append(sums, sum)
			sum, step = 14695981039346656037, c.step
		}
		if c.phase == main && c.step > 0 && c.fall < 0 {
			s := c.cur[c.head].site
			acted = append(acted, s)
			sum = (sum ^ uint64(s)<<1 ^ uint64(c.st[s].flags&fOn)) * 1099511628211
		}
		c.runReady()
		if c.broken != nil {
			break
		}
	}
	n := len(sums)
	for p := 1; p < n && r.Period == 0; p++ {
		if sums[n-1] != sums[n-1-p] {
			continue
		}
		same := n > 2*p // the first step may have been under way, so one more than two periods
		for i := n - 1; i >= max(p+1, n-3*p) && same; i-- {
			same = sums[i] == sums[i-p]
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
	if span < n {
		acted = acted[ends[n-1-span]:]
	}
	for _, s := range acted {
		if id := b.id[s]; !seen[id] {
			seen[id] = true
			r.Parts = append(r.Parts, id)
			r.names = append(r.names, b.Label(id))
		}
	}
	return r
}
