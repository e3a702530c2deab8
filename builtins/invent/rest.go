package invent

import (
	"slices"

	"pulsewright/engine"
)

// How long a machine may take for one pulse. Most that come to rest do so after a few turns; of one that does not, it is asked whether it ever will.
const (
	soonTurns = 400
	lastTurns = 20_000
	forever   = 1 << 60 // ticks: a long wait costs no more than a short one
)

// fate is what is known of a machine and a task.
type fate uint8

const (
	doesNot fate = iota
	doesIt
	givenUp // it took longer than it is waited for, and may do it
)

// patience is after how many turns a machine is given up: more where parts take long, or pulses are wide, for something may go on all the while.
func (b *boxed) patience() int {
	long := slices.Max(b.numbers)
	for _, w := range b.wants {
		long = max(long, w)
	}
	most := 0
	for _, p := range b.all() {
		most = max(most, waits(&p, b.rules.Travel))
	}
	return min(soonTurns+4*(long+most), lastTurns)
}

// waits is how many ticks a part may wait for something.
func waits(p *engine.Part, travel int) int {
	n := max(p.Ticks, p.Hold, p.Drop, p.Keep)
	if p.Kind == engine.Shuttle {
		if n = max(n, travel); p.Travel > 0 {
			n = p.Travel
		}
	}
	if p.Spec != nil {
		n = max(n, slices.Max(p.Spec.When), slices.Max(p.Spec.Then))
	}
	return n
}

// settles lets a machine run, into which the last pulse is fired in a tick, until nothing is left to do: doesIt. It never comes to that if it breaks off, or if all comes to be as
// it was some turns before with nothing from outside to come: doesNot.
// It is asked after so many turns; at last it is given up.
func (t *trying) settles(last int64, soon int) fate {
	d := t.draft
	if d.Run(soon, forever) {
		return doesIt
	}
	b := d.Bench()
	var mark uint64 // how it stood when it is looked back at: at the end of a step, for then what will come is told by how it stands alone
	marked, next := false, 1
	for n := 0; n < t.turns-soonTurns; n++ {
		stood, at, turns := b.Fingerprint(), b.Now(), b.Turns()
		if d.Run(1, forever) {
			return doesIt
		}
		if b.Turns() == turns {
			return doesNot // it broke off
		}
		if now := b.Now(); now.Tick == at.Tick && now.Step == at.Step || at.Tick <= last && at.Step <= t.widest {
			continue // not the end of a step, or a pulse may yet fall in a step that is counted from its rise
		}
		if marked && stood == mark {
			return doesNot
		}
		if n >= next {
			mark, marked, next = stood, true, 2*n
		}
	}
	return givenUp
}

// lost reports whether number k has come out wrong already, whatever comes after.
func (t *task) lost(k int, s *seen) bool {
	if t.tells {
		return false
	}
	if t.wants[k] < 0 {
		return s.edges > 0
	}
	return s.edges > 2 || s.edges == 2 && !t.right(k, s, 1)
}
