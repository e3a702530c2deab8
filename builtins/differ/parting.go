package differ

import (
	"pulsewright/engine"
)

// parting is where two sides part.
type parting struct {
	a, b *side
	lag  bool // instants count from the causes

	alike  int      // so many events are the same
	parted bool     // and the next is not
	join   int      // the latest event that both lead back to; 0: none
	chains [2][]int // the events that the next one of a, and of b, lead back to, latest first, down to but without the join

	last [2]engine.Instant // lag: of the last event that came from outside
	came [2]bool           // and whether there was one
}

// ended reports whether a side has no event more after those that are the same.
func (p *parting) ended(s *side) bool { return s.events() == p.alike }

// sides are both, a first.
func (p *parting) sides() [2]*side { return [2]*side{p.a, p.b} }

// find finds the first event in which the sides part.
func (p *parting) find(stopped func() error) error {
	n, m := p.a.events(), p.b.events()
	for i := 1; i <= min(n, m); i++ {
		if i%(1<<16) == 0 {
			if err := stopped(); err != nil {
				return err
			}
		}
		ea, eb := p.a.at(i), p.b.at(i)
		if ea.What != eb.What || ea.Arg != eb.Arg || ea.Cause != eb.Cause || p.a.class[ea.ID] != p.b.class[eb.ID] || !p.together(ea, eb) {
			p.parted = true
			break
		}
		p.alike = i
	}
	p.parted = p.parted || n != m
	if p.parted {
		p.walk()
	}
	return nil
}

// together reports whether two events happen at the same time.
func (p *parting) together(ea, eb engine.Event) bool {
	if !p.lag {
		return ea.Tick-p.a.start() == eb.Tick-p.b.start() && ea.Step == eb.Step && ea.Turn == eb.Turn
	}
	ta, sa := p.after(0, ea)
	tb, sb := p.after(1, eb)
	return ta == tb && sa == sb
}

// after is how long after its cause an event comes: in ticks, and in steps of its tick if that is another, else in steps. What has no cause
// in this side counts from the one before it that has none, and if that lies in another tick, in ticks alone.
func (p *parting) after(k int, e engine.Event) (ticks int64, steps int) {
	from, step := p.last[k], int(e.Step)
	if e.Cause == 0 || e.Cause == outside {
		if !p.came[k] {
			from = e.At()
		}
		p.last[k], p.came[k], step = e.At(), true, 0
	} else {
		from = p.sides()[k].at(int(e.Cause)).At()
	}
	if e.Tick == from.Tick {
		return 0, int(e.Step) - from.Step
	}
	return e.Tick - from.Tick, step
}

// walk goes back from the events in which the sides part to where their causes join.
func (p *parting) walk() {
	cause := func(s *side, i int) int {
		if c := s.at(i).Cause; c != outside {
			return int(c)
		}
		return 0
	}
	var x [2]int
	for k, s := range p.sides() {
		if p.ended(s) {
			x[k] = -1
		} else {
			x[k] = cause(s, p.alike+1)
		}
	}
	switch {
	case x[0] < 0:
		p.join = x[1]
		return
	case x[1] < 0:
		p.join = x[0]
		return
	}
	for x[0] != x[1] {
		k := 0
		if x[1] > x[0] {
			k = 1
		}
		p.chains[k] = append(p.chains[k], x[k])
		x[k] = cause(p.sides()[k], x[k])
	}
	p.join = x[0]
}

// joinOutside is where the causes of both join in the log of the one bench that both are parts or spans of, if they do not in what is compared; 0:
// nowhere.
func (p *parting) joinOutside() engine.EventID {
	b := p.a.bench
	if p.join != 0 || b == nil || b != p.b.bench || !p.a.picked || !p.b.picked || p.ended(p.a) || p.ended(p.b) {
		return 0
	}
	x, y := b.Event(p.a.ids[p.alike]).Cause, b.Event(p.b.ids[p.alike]).Cause
	for x != y {
		if x > y {
			x = b.Event(x).Cause
		} else {
			y = b.Event(y).Cause
		}
	}
	return x
}

// next is the first event of s from number i on that says the same of the same part as one of the other side; 0: there is none.
func next(s *side, i int, class int32, e engine.Event) int {
	for n := s.events(); i <= n; i++ {
		if f := s.at(i); f.What == e.What && f.Arg == e.Arg && s.class[f.ID] == class {
			return i
		}
	}
	return 0
}
