package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/trial"

	"fmt"
	"slices"
)

// A course is numbers sent to one machine, the same gap apart. There is no end of courses; but where two of them leave the machine
// in the same state, with the same still under way, all that follows is the same, and one of them is enough. So the courses of a
// gap are tried by their length: all of two numbers, for read may look back, and longer ones only from states not met
// before. If no new state is met any more, courses of any length have been tried.

// mostStates is how many states a machine may be in between sendings; of more, not all are tried.
func mostStates(numbers int) int { return max(64, 4*numbers) }

// edge is one number sent to a machine in some state, all it did until all was quiet again, and what was read.
type edge struct {
	fault  *fault
	unsure bool
	states []state // so many ticks after its start, from 1 on, if the next is sent then; the last: at rest. At one gap only that.
	back   int64   // ticks after its start until all was quiet
}

// at is the state in which it leaves the machine for the next, a gap later.
func (e *edge) at(gap int64) state {
	if gap == 0 || gap > int64(len(e.states)) {
		gap = int64(len(e.states))
	}
	return e.states[gap-1]
}

// courses are the courses of one gap.
type courses struct {
	gap      int64 // 0: each is sent when all is quiet
	pairs    bool  // only courses of two
	seen     map[state]bool
	frontier []course
	all      bool     // all states were tried
	every    int      // if not: all courses of so many numbers were
	unsure   [][2]int // pairs of which nothing tells that the second arrived
	failed   []int    // the shortest course that fails
	fault    *fault
}

// course is numbers, and the state they leave the machine in.
type course struct {
	numbers []int
	edges   []edge // what each number does then, if that is known
}

func newCourses(gap int64, pairs bool, root []edge) *courses {
	return &courses{gap: gap, pairs: pairs, seen: map[state]bool{}, frontier: []course{{edges: root}}, all: true}
}

// take follows what each number does after a course, and gives the courses that lead to states not met before.
func (cs *courses) take(r *recovered, c course, edges []edge) (next []course) {
	if cs.failed != nil {
		return nil
	}
	for m := range edges {
		e := &edges[m]
		longer := append(slices.Clip(c.numbers), m)
		if e.fault != nil {
			cs.failed, cs.fault, cs.frontier = longer, e.fault, nil
			return nil
		}
		if e.unsure && len(longer) == 2 {
			cs.unsure = append(cs.unsure, [2]int{longer[0], m})
		}
		s := e.at(cs.gap)
		if len(longer) == 1 {
			c := course{numbers: longer}
			if cs.gap >= e.back && cs.gap > 0 {
				c.edges = r.after[m] // it is at rest
			}
			cs.seen[s] = true
			next = append(next, c)
		} else if r.anew || cs.pairs || !cs.seen[s] && len(cs.seen) >= mostStates(len(edges)) {
			if cs.all {
				cs.all, cs.every = false, len(longer)
			}
		} else if !cs.seen[s] {
			cs.seen[s] = true
			next = append(next, course{longer, r.known[s]})
		}
		if cs.gap == 0 {
			r.gaps = max(r.gaps, e.back)
		}
	}
	return next
}

// try tries the courses of several gaps, those of one length at once, on all workers.
func (r *recovered) try(rows []*courses) error {
	l := r.l
	for {
		type unit struct {
			cs    *courses
			c     course
			from  state
			edges []edge
			cost  int64
		}
		var units []*unit
		for _, cs := range rows {
			for _, c := range cs.frontier {
				units = append(units, &unit{cs: cs, c: c, edges: c.edges})
			}
			cs.frontier = nil
		}
		if len(units) == 0 {
			return nil
		}
		err := l.Each("", len(units), func(w *trial.Runner, i int) (err error) {
			u, before := units[i], w.Trials
			if u.edges == nil {
				u.from, u.edges, err = r.expand(w, u.c.numbers, u.cs.gap)
			}
			u.cost = w.Trials - before
			return err
		}, func(i int) (bool, error) {
			u := units[i]
			l.Trials += u.cost
			u.cs.frontier = append(u.cs.frontier, u.cs.take(r, u.c, u.edges)...)
			if u.cs.failed != nil {
				u.cs.frontier = nil
			}
			if u.cs.gap == 0 {
				r.note(u.c.numbers, u.from, u.edges)
			}
			return true, nil
		})
		if err != nil {
			return err
		}
	}
}

// note keeps what every number does on a machine at rest after a course.
func (r *recovered) note(numbers []int, from state, edges []edge) {
	switch len(numbers) {
	case 0:
		r.posed, r.root = from, edges
	case 1:
		r.after[numbers[0]] = edges
	}
	r.known[from] = edges
}

// expand sends every number after a course. start is the state it finds the machine in.
func (r *recovered) expand(w *trial.Runner, numbers []int, gap int64) (start state, edges []edge, err error) {
	u, err := startCourse(r.l, w, r.size)
	if err != nil {
		return start, nil, err
	}
	for _, k := range numbers {
		f, err := u.send(k, &r.alone[k])
		if f == nil && err == nil {
			f, err = u.wait(gap, false)
		}
		if err == nil && f != nil {
			err = fmt.Errorf("number %s fails where it did not before: it reads %s", builtins.Show(r.alone[k].n), f)
		}
		if err != nil {
			return start, nil, err
		}
	}
	if gap == 0 && !r.anew {
		start = u.state()
	}
	from := u.halt()
	edges = make([]edge, len(r.alone))
	for m := range edges {
		w.Trials++
		e := &edges[m]
		if err := r.edge(u, from, m, gap, e); err != nil {
			return start, nil, err
		}
		switch {
		case e.fault != nil || gap > 0:
		case r.anew:
			e.states = make([]state, 1) // it does not tell all
		case len(numbers) > 0 && start == r.posed:
			e.states = r.root[m].states
		default:
			if err := r.trace(u, from, m, e); err != nil {
				return start, nil, err
			}
		}
	}
	return start, edges, nil
}

// edge sends one number.
func (r *recovered) edge(u *underWay, from halt, m int, gap int64, e *edge) (err error) {
	if err = u.resume(from); err != nil {
		return err
	}
	u.unsure = false
	if e.fault, err = u.send(m, &r.alone[m]); err != nil || e.fault != nil {
		return err
	}
	var before halt // it is read
	last := func() { before = u.halt() }
	if gap > 0 {
		if e.fault, err = u.until(from.tick+gap, true, last); err != nil || e.fault != nil {
			return err
		}
		e.states = []state{u.state()}
	}
	if e.fault, err = u.settle(true, last); err != nil || e.fault != nil {
		return err
	}
	e.unsure = u.unsure
	e.back = u.Bench.Now().Tick - from.tick
	if e.back > before.tick-from.tick { // it must read so in the end, too, had it not been read before
		mark := u.Sent
		if err = u.resume(before); err != nil {
			return err
		}
		if e.fault, err = u.ran(u.Quiet(), mark); err != nil || e.fault != nil {
			return err
		}
		got, ok, err := u.Says(r.alone[m].n)
		if err != nil {
			return err
		}
		if !ok {
			e.fault = &fault{mark, "as " + got + " when all is quiet"}
			return nil
		}
	}
	return nil
}

// trace finds the state in which a number leaves a machine at rest after every tick, for the gaps to be tried.
func (r *recovered) trace(u *underWay, from halt, m int, e *edge) (err error) {
	if err = u.resume(from); err != nil {
		return err
	}
	if e.fault, err = u.send(m, &r.alone[m]); err != nil || e.fault != nil {
		return err
	}
	for tick := int64(1); tick <= max(e.back, 1); tick++ {
		if e.fault, err = u.until(from.tick+tick, false, nil); err != nil || e.fault != nil {
			return err
		}
		e.states = append(e.states, u.state())
	}
	return nil
}

// wait lets a gap pass; 0: until all is quiet.
func (u *underWay) wait(gap int64, judge bool) (*fault, error) {
	if gap == 0 {
		return u.settle(judge, nil)
	}
	return u.until(u.Bench.Now().Tick+gap, judge, nil)
}
