package builtins

import (
	"slices"
	"sort"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// A reading counts only if it is owed to the sending it is to answer. That is found out by reading again, from the same state of
// the machine, and from that in which it would be now had this not been sent:
//
//   - with only those events in the log that lead back to this sending. If that no longer says the number, it was read off events
//     of other sendings: it is stale, unless without this sending it would not be said.
//   - with an empty log. If that does not say the number, it was read off what this sending caused: right.
//   - otherwise it is read off how the machine stands. If it would stand so without this sending, too, nothing tells whether
//     that arrived: untold. Otherwise it is right.
//
// Every sending is marked (rigged.give), and every event leads back to its mark, whatever of it is recorded. An event that two
// sendings brought about together has one cause, and answers that one only. Where read needs both events and how the machine
// stands, the events decide.

// verdict is what a reading is worth.
type verdict uint8

const (
	wrong  verdict = iota // it does not say the number
	stale                 // it says the number, but owes it to other sendings: this one is not answered
	untold                // it says the number, and would have without this sending: whether that arrived cannot be told
	right                 // it says the number because of this sending
)

// answer is what a machine said to one sending.
type answer struct {
	verdict verdict
	got     starlark.Value // what was read; None if something went wrong
	fault   string         // what went wrong in running or reading; "" if nothing
}

// says reports whether the number was read and nothing shows that it was not this sending's.
func (a answer) says() bool { return a.verdict >= untold }

// String is what was said, as reports write it.
func (a answer) String() string {
	switch {
	case a.fault != "":
		return a.fault
	case a.verdict == stale:
		return show(a.got) + ", which would be read without it, too: it is not answered"
	case a.verdict == untold:
		return show(a.got) + ", as it would be had it not been sent"
	}
	return show(a.got)
}

// isNumber reports whether what was read is the number.
func isNumber(got, n starlark.Value) bool {
	same, err := starlark.Equal(got, n)
	return err == nil && same
}

// sendAndRead sends n to a machine at rest, lets time pass until all is quiet and reads. The machine, having been read once, can
// go on: the next number finds it as it was left. Faults of sending, running and reading are wrong answers; err means that the
// design's functions cannot be used, or that all was stopped.
func (t *rigged) sendAndRead(n starlark.Value) (answer, error) {
	var before stand
	if !t.anew {
		before = t.stand()
	}
	from := t.bench.Now().Tick
	fault, err := t.sendToQuiet(n)
	if err != nil || fault != "" {
		return answer{got: starlark.None, fault: fault}, err
	}
	took := t.bench.Now().Tick - from
	t.course = append(t.course, n)
	return t.answer(t.sent, n, func(without bool) error {
		if !t.anew {
			t.to(before) // only without is asked for
			return t.ticks(took)
		}
		course := t.course
		defer func() { t.course = course }()
		return t.follow(course, without, took)
	})
}

// follow builds the machine again and sends all numbers of a course, each to quiet, and reads after each but the last. without:
// in place of the last so many ticks pass.
func (t *rigged) follow(course []starlark.Value, without bool, ticks int64) error {
	if err := t.reset(); err != nil {
		return err
	}
	t.begin(t.number)
	last := len(course) - 1
	for i, n := range course {
		if i == last && without {
			return t.ticks(ticks)
		}
		if _, err := t.sendToQuiet(n); err != nil {
			return err
		}
		if i < last {
			if _, _, err := t.readOnce(); err != nil {
				return err
			}
		}
	}
	return nil
}

// answer reads what the machine says to sending k (from 1, in the order of give), which was of n. again brings it to this moment
// once more; without: as it would stand had k not been sent. It is asked for the moment itself only if the rig keeps values that
// change. In the end the machine has been read once and can go on.
func (t *rigged) answer(k int, n starlark.Value, again func(without bool) error) (answer, error) {
	a := answer{verdict: wrong}
	kept := t.anew // then only again brings back what the rig holds
	var before stand
	if !kept {
		before = t.stand()
	}
	var err error
	if a.got, a.fault, err = t.readOnce(); err != nil || a.fault != "" || !isNumber(a.got, n) {
		return a, err
	}
	after, printed := t.stand(), t.out.String()
	// says reads once more, with only those events in the log that lead back to a mark; all: with all.
	const all = -1
	says := func(mark int) (bool, error) {
		if mark != all {
			t.forgetOthers(mark)
		}
		got, err := t.reads()
		if stopped := t.env.stopped(); stopped != nil {
			return false, stopped
		}
		return err == nil && isNumber(got, n), nil
	}
	back := func() error {
		if kept {
			return again(false)
		}
		t.to(before)
		return nil
	}
	a.verdict, err = func() (verdict, error) {
		with, otherwise := 0, untold
		if after.sent > 1 || t.logged > 0 { // else all in the log is this sending's
			if err := back(); err != nil {
				return wrong, err
			}
			if own, err := says(k); err != nil {
				return wrong, err
			} else if !own {
				with, otherwise = all, stale
			}
		}
		if otherwise == untold {
			if err := back(); err != nil {
				return wrong, err
			}
			if still, err := says(0); !still {
				return right, err
			}
		}
		if err := again(true); err != nil {
			return right, t.env.stopped() // without it the machine would not even come to this moment
		}
		if still, err := says(with); !still {
			return right, err
		}
		return otherwise, nil
	}()
	if err != nil {
		return a, err
	}
	if kept {
		if err = again(false); err == nil {
			_, _, err = t.readOnce()
		}
	} else {
		t.to(after)
	}
	t.sent = after.sent
	t.out.Reset()
	t.out.WriteString(printed)
	return a, err
}

// stand is how a machine stands: its bench, its probes, its random numbers.
type stand struct {
	bench  *engine.Snapshot
	probes []ProbeMark
	random Random
	sent   int

	// When it was kept.
	of      *engine.Bench
	now     engine.Instant
	version uint64
}

// stand keeps how the machine stands. The last one is given again if nothing has happened since.
func (t *rigged) stand() stand {
	now, version, last := t.bench.Now(), t.bench.Version(), &t.stood
	same := last.bench != nil && last.of == t.bench && last.now == now && last.version == version && last.random == t.env.Random && last.sent == t.sent
	for i := 0; same && i < len(t.probes); i++ {
		same = last.probes[i] == t.probes[i].Probe.Mark()
	}
	if same {
		return *last
	}
	s := stand{bench: t.bench.Snapshot(), probes: slices.Clone(t.probes), random: t.env.Random, sent: t.sent, of: t.bench, now: now, version: version}
	for i := range s.probes {
		s.probes[i] = s.probes[i].Probe.Mark()
	}
	t.stood = s
	return s
}

// to brings the machine to where it stood.
func (t *rigged) to(s stand) {
	t.bench.Restore(s.bench)
	for _, p := range s.probes {
		p.Reset()
	}
	t.env.Bench, t.env.Random, t.sent = t.bench, s.random, s.sent
}

// forgetOthers empties the log of all that does not lead back to a mark; probes that were cleared still see only what came after.
func (t *rigged) forgetOthers(mark int) {
	were := t.bench.ForgetOthers(mark)
	seen := slices.Clone(t.probes) // a probe may be in it twice
	for i, p := range seen {
		seen[i].From = 1 + engine.EventID(sort.Search(len(were), func(i int) bool { return were[i] >= p.Probe.Mark().From }))
	}
	for _, p := range seen {
		p.Reset()
	}
}
