package invent

import (
	"slices"

	"pulsewright/engine"
)

// fronted are the measures in which machines of a front are held against each other.
var fronted = []int{parts, volume, conductors, latency, recovery, news}

// noWorse reports whether a machine has no more of anything than another.
func (m *measures) noWorse(o *measures) bool {
	return !slices.ContainsFunc(fronted, func(k int) bool { return m[k] > o[k] })
}

// joinFront adds a machine to a front, unless one of it is no worse; those it is no worse than leave. Of two machines alike in everything the
// first one stays.
func joinFront(front []machine, m machine) []machine {
	if slices.ContainsFunc(front, func(f machine) bool { return f.Is.noWorse(m.Is) }) {
		return front
	}
	front = slices.DeleteFunc(front, func(f machine) bool { return m.Is.noWorse(f.Is) })
	return append(front, m)
}

// front measures the machine that stands on the draft, and adds it to the front. How soon it is ready again takes longest to find: that
// of a machine which would not be of the front if it were ready at once is not looked for.
func (t *trying) front(m machine) {
	is := t.measured(m.In)
	if is[recovery] = 1; t.task.tells {
		is[recovery] = unmeasured
	}
	if slices.ContainsFunc(t.Front, func(f machine) bool { return f.Is.noWorse(&is) }) {
		return
	}
	if !t.task.tells {
		is[recovery] = t.recovers()
	}
	m.Is = &is
	t.Front = joinFront(t.Front, m)
}

// measured are the measures of the machine on the draft but its recovery: what it takes to send it every number once, from rest; and the step in
// which the last of them to come out begins to.
func (t *trying) measured(a arrangement) (m measures) {
	b := t.boxed
	lo, hi, any := engine.Cell{}, engine.Cell{}, false
	count := func(at engine.Cell, p engine.Part) {
		if !any {
			lo, hi, any = at, at, true
		}
		lo = engine.Cell{X: min(lo.X, at.X), Y: min(lo.Y, at.Y), Z: min(lo.Z, at.Z)}
		hi = engine.Cell{X: max(hi.X, at.X), Y: max(hi.Y, at.Y), Z: max(hi.Z, at.Z)}
		m[parts]++
		if p.Kind.Trait().Conducts {
			m[conductors]++
		}
	}
	for i := range b.fixed {
		count(b.fixed[i].cell, b.fixed[i].Part)
	}
	for c, v := range a {
		if v > 0 {
			count(b.cells[c], b.options[v-1])
		}
	}
	if any {
		d := hi.Sub(lo)
		m[volume] = int64(d.X+1) * int64(d.Y+1) * int64(d.Z+1)
	}
	m[latency], m[pitch] = unmeasured, unmeasured
	bench := t.draft.Bench()
	for k := range b.numbers {
		if t.fire(k, 0) {
			t.settles(1, t.turns)
			m[news] += bench.Counters().News
			if s := t.seen(1, 1); s.edges > 0 && !b.task.tells {
				if step := int64(s.from.Step); m[latency] == unmeasured || step > m[latency] {
					m[latency] = step
				}
			}
		}
		t.draft.Again()
	}
	return m
}

// seen is what is seen at the place where pulses come out, from one tick to another.
func (t *trying) seen(from, to int64) (s seen) {
	b := t.draft.Bench()
	for id := 1; id <= b.EventCount(); id++ {
		if e := b.Event(engine.EventID(id)); e.Tick >= from && e.Tick <= to {
			s.see(e, t.out, true, 0)
		}
	}
	return s
}

// mostPaired is how many numbers are sent in pairs: the first and the last of them.
const mostPaired = 6

// longestQuiet is how many ticks a machine may take whose recovery is looked for.
const longestQuiet = 1000

// paired are the numbers that are sent in pairs, by number.
func (t *task) paired() (all []int) {
	for k := range t.numbers {
		if k < mostPaired/2 || k >= len(t.numbers)-mostPaired/2 {
			all = append(all, k)
		}
	}
	return all
}

// recovers is the least gap, in ticks from the start of one pulse to that of the next, from which on both come out as they are wanted, of every
// pair of numbers, and all stands as before in the end. It is not known if a pair was given up, or if a machine takes
// so long that there are too many gaps to try.
func (t *trying) recovers() int64 {
	quiet, soon := int64(1), int64(soonTurns)
	bench := t.draft.Bench()
	for k := range t.numbers {
		if t.fire(k, 0) {
			t.settles(1, t.turns)
			quiet, soon = max(quiet, bench.Now().Tick), max(soon, 2*bench.Turns())
		}
		t.draft.Again()
	}
	if quiet > longestQuiet {
		return unmeasured
	}
	all := t.task.paired()
	for gap := quiet - 1; gap >= 1; gap-- {
		for _, first := range all {
			for _, then := range all {
				switch t.pair(first, then, gap, int(soon)) {
				case doesNot:
					return gap + 1
				case givenUp:
					return unmeasured
				}
			}
		}
		if t.ended() {
			return unmeasured
		}
	}
	return 1
}

// pair sends two numbers, so many ticks apart.
func (t *trying) pair(first, then int, gap int64, soon int) fate {
	defer t.draft.Again()
	if !t.fire(first, 1) || !t.fire(then, 1+gap) {
		return doesNot
	}
	if is := t.settles(1+gap, soon); is != doesIt {
		return is
	}
	before, after := t.seen(1, gap), t.seen(gap+1, forever)
	if !t.draft.Rested() || !t.right(first, &before, 1) || !t.right(then, &after, gap+1) {
		return doesNot
	}
	return doesIt
}
