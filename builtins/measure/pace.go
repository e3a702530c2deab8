package measure

import (
	"math"

	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

// Recovery is the smallest gap, in ticks, from which on every number is answered; the largest number there is if none is long enough.
func Recovery(l *trial.Bay, numbers []starlark.Value, size int) (int64, error) {
	r, err := recoveryOf(l, numbers, size)
	if err != nil {
		return 0, err
	}
	if r.ticks == 0 {
		return math.MaxInt64, nil
	}
	return r.ticks, nil
}

// Latency is the longest delay, of all numbers, from an edge of what is sent to the edge that it causes where the machine is read: in
// ticks, and in steps of the last of them. ok: some number causes one; others (a pulse of 0) need not.
func Latency(l *trial.Bay, r *trial.Runner, numbers []starlark.Value, size int) (ticks int64, steps int, ok bool, err error) {
	var most later
	for _, n := range numbers {
		d, err := delaysOf(l, r, n, size)
		if err != nil {
			return 0, 0, false, err
		}
		for _, e := range []delay{d.rise, d.fall} {
			if e.seen && (!ok || e.later.compare(most) > 0) {
				most, ok = e.later, true
			}
		}
	}
	return most.ticks, most.steps, ok, nil
}
