package trial

import (
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/observe"
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
//     that arrived: unsure. Otherwise it is right.
//
// Every sending is marked (rigged.give), and every event leads back to its mark, whatever of it is recorded. An event that two
// sendings brought about together has one cause, and answers that one only. Where read needs both events and how the machine
// stands, the events decide.

// Verdict is what a reading is worth.
type Verdict uint8

const (
	Wrong  Verdict = iota // it does not say the number
	Stale                 // it says the number, but owes it to other sendings: this one is not answered
	Unsure                // it says the number, and would have without this sending: whether that arrived cannot be told
	Right                 // it says the number because of this sending
)

// Answer is what a machine said to one sending.
type Answer struct {
	Verdict Verdict
	Got     starlark.Value // what was read; None if something went wrong
	Fault   string         // what went wrong in running or reading; "" if nothing
}

// Says reports whether the number was read and nothing shows that it was not this sending's.
func (a Answer) Says() bool { return a.Verdict >= Unsure }

// String is what was said, as reports write it.
func (a Answer) String() string {
	switch {
	case a.Fault != "":
		return a.Fault
	case a.Verdict == Stale:
		return builtins.Show(a.Got) + ", which would be read without it, too: it is not answered"
	case a.Verdict == Unsure:
		return builtins.Show(a.Got) + ", as it would be had it not been sent"
	}
	return builtins.Show(a.Got)
}

// IsNumber reports whether what was read is the number.
func IsNumber(got, n starlark.Value) bool {
	same, err := starlark.Equal(got, n)
	return err == nil && same
}

// sendAndRead sends n to a machine at rest, lets time pass until all is quiet and reads. The machine, having been read once, can
// go on: the next number finds it as it was left. Faults of sending, running and reading are wrong answers; err means that the
// design's functions cannot be used, or that all was stopped.
func (t *Rigged) sendAndRead(n starlark.Value) (Answer, error) {
	var before Stand
	if !t.Anew {
		before = t.Stand()
	}
	from := t.Bench.Now().Tick
	fault, err := t.sendToQuiet(n)
	if err != nil || fault != "" {
		return Answer{Got: starlark.None, Fault: fault}, err
	}
	took := t.Bench.Now().Tick - from
	t.Course = append(t.Course, n)
	return t.Answer(t.Sent, n, func(without bool) (err error) {
		if !t.Anew {
			t.To(before)
			if without {
				return t.Ticks(took)
			}
			_, err = t.sendToQuiet(n)
			return err
		}
		course := t.Course
		defer func() { t.Course = course }()
		return t.Follow(course, without, took)
	})
}

// Follow builds the machine again and sends all numbers of a course, each to quiet, and reads after each but the last. without:
// in place of the last so many ticks pass.
func (t *Rigged) Follow(course []starlark.Value, without bool, ticks int64) error {
	if err := t.Reset(); err != nil {
		return err
	}
	t.Begin(t.number)
	last := len(course) - 1
	for i, n := range course {
		if i == last && without {
			return t.Ticks(ticks)
		}
		if _, err := t.sendToQuiet(n); err != nil {
			return err
		}
		if i < last {
			if _, _, err := t.ReadOnce(); err != nil {
				return err
			}
		}
	}
	return nil
}

// Answer reads what the machine says to sending k (from 1, in the order of give), which was of n. again brings it to this moment
// once more; without: as it would stand had k not been sent. It is asked for the moment itself only if the rig keeps values that
// change, or once for a design that cannot be told at a glance. In the end the machine has been read once and can go on.
func (t *Rigged) Answer(k int, n starlark.Value, again func(without bool) error) (a Answer, err error) {
	kept := t.Anew // then only again brings back what the rig holds
	if !kept && !t.Careful() {
		if a, sure, err := t.Glance(k, n); sure || err != nil {
			return a, err
		}
		if err := again(false); err != nil {
			return a, err
		}
	}
	back := func() error { return again(false) }
	if !kept {
		before := t.Stand()
		back = func() error { t.To(before); return nil }
	}
	if a.Got, a.Fault, err = t.ReadOnce(); err != nil || a.Fault != "" || !IsNumber(a.Got, n) {
		return a, err
	}
	after, printed := t.Stand(), t.out.String()
	if a.Verdict, err = t.judge(k, n, back, again); err != nil {
		return a, err
	}
	if !kept {
		t.To(after)
	} else if err = again(false); err == nil {
		_, _, err = t.ReadOnce()
	}
	t.Sent = after.sent
	t.out.Reset()
	t.out.WriteString(printed)
	return a, err
}

// judge finds out, by reading again, what it is worth that n has just been read in answer to sending k. back brings the machine to
// where it stood before that, and again to where it would stand without k.
func (t *Rigged) judge(k int, n starlark.Value, back func() error, again func(without bool) error) (Verdict, error) {
	with, otherwise := 0, Unsure
	if t.Sent > 1 || t.logged > 0 { // else all in the log is this sending's
		if err := back(); err != nil {
			return Wrong, err
		}
		if own, err := t.saysWith(k, n); err != nil {
			return Wrong, err
		} else if !own {
			with, otherwise = allMarks, Stale
		}
	}
	if otherwise == Unsure {
		if err := back(); err != nil {
			return Wrong, err
		}
		if still, err := t.saysWith(0, n); !still {
			return Right, err
		}
	}
	if err := again(true); err != nil {
		return Right, t.Env.Stopped() // without it the machine would not even come to this moment
	}
	if still, err := t.saysWith(with, n); !still {
		return Right, err
	}
	return otherwise, nil
}

// allMarks is the mark of all events.
const allMarks = -1

// saysWith reads with only those events in the log that lead back to a mark, and reports whether that says n.
func (t *Rigged) saysWith(mark int, n starlark.Value) (bool, error) {
	if mark != allMarks {
		t.forgetOthers(mark)
	}
	got, err := t.Reads()
	if stopped := t.Env.Stopped(); stopped != nil {
		return false, stopped
	}
	return err == nil && IsNumber(got, n), nil
}

// Careful reports whether the readings of this design must be able to go back: one of them could not be told at a glance.
func (t *Rigged) Careful() bool { return t.Runner.doubted == t.Design }

// Glance is Answer where no going back is needed: reading looks at what is traced and changes nothing, and with an empty log the number is not
// said. sure reports whether it could be told so; if not, the machine is perhaps not what it was, and from now on one must be careful.
func (t *Rigged) Glance(k int, n starlark.Value) (a Answer, sure bool, err error) {
	at, unread := t.condition(), t.out.Len()
	if a.Got, a.Fault, err = t.ReadOnce(); err != nil || a.Fault != "" || !IsNumber(a.Got, n) {
		return a, true, err
	}
	printed := t.out.Len()
	// says reads with only the events that lead back to a mark.
	says := func(mark int) (says, same bool) {
		back := t.sift(mark)
		got, err := t.Reads()
		idle := !back()
		t.out.Truncate(printed)
		return err == nil && IsNumber(got, n), idle && t.condition().same(at) && t.Env.Stopped() == nil
	}
	sure = t.condition().same(at) && !t.Env.Inquiry.All()
	if sure && (t.Sent > 1 || t.logged > 0) { // else all in the log is this sending's
		own, same := says(k)
		sure = own && same
	}
	if sure {
		still, same := says(0)
		sure = !still && same
	}
	if !sure {
		t.out.Truncate(unread)
		t.Runner.doubted = t.Design
	}
	a.Verdict = Right
	return a, sure, t.Env.Stopped()
}

// sift takes all events out of the log that do not lead back to a mark, until back is called; probes that were cleared still see only what came after.
// back reports whether time was to pass meanwhile, which it cannot.
func (t *Rigged) sift(mark int) (back func() (refused bool)) {
	were, logBack := t.Bench.Sift(mark)
	saw := make([]observe.Sight, len(t.Probes))
	for i, p := range t.Probes {
		saw[i] = p.Probe.Sight
	}
	for i, p := range t.Probes {
		p.Probe.Sight = observe.Sight{From: nowFrom(were, saw[i].From)}
	}
	return func() bool {
		for i, p := range t.Probes {
			p.Probe.Sight = saw[i]
		}
		return logBack()
	}
}

// nowFrom is from where a probe sees events if only these are left.
func nowFrom(were []engine.EventID, from engine.EventID) engine.EventID {
	i, _ := slices.BinarySearch(were, from)
	return 1 + engine.EventID(i)
}

// condition tells how a machine stands without keeping it: as long as it is the same, so is the machine.
type condition struct {
	of      *engine.Bench
	now     engine.Instant
	version uint64
	random  builtins.Random
	sent    int
	from    []engine.EventID // what each probe sees
}

func (t *Rigged) condition() condition {
	m := condition{of: t.Bench, now: t.Bench.Now(), version: t.Bench.Version(), random: t.Env.Random, sent: t.Sent, from: make([]engine.EventID, len(t.Probes))}
	for i, p := range t.Probes {
		m.from[i] = p.Probe.From
	}
	return m
}

func (m condition) same(o condition) bool {
	return m.of == o.of && m.now == o.now && m.version == o.version && m.random == o.random && m.sent == o.sent && slices.Equal(m.from, o.from)
}

// Stand is how a machine stands: its bench, its probes, its random numbers.
type Stand struct {
	condition
	bench  *engine.Snapshot
	probes []observe.ProbeMark
}

// Stand keeps how the machine stands. The last one is given again if nothing has happened since.
func (t *Rigged) Stand() Stand {
	at := t.condition()
	if t.stood.bench == nil || !t.stood.same(at) {
		t.stood = Stand{at, t.Bench.Snapshot(), slices.Clone(t.Probes)}
		for i := range at.from {
			t.stood.probes[i].From = at.from[i]
		}
	}
	return t.stood
}

// To brings the machine to where it stood.
func (t *Rigged) To(s Stand) {
	t.Bench.Restore(s.bench)
	for _, p := range s.probes {
		p.Reset()
	}
	t.Env.Bench, t.Env.Random, t.Sent = t.Bench, s.random, s.sent
}

// forgetOthers empties the log of all that does not lead back to a mark; probes that were cleared still see only what came after.
func (t *Rigged) forgetOthers(mark int) {
	were := t.Bench.ForgetOthers(mark)
	seen := slices.Clone(t.Probes) // a probe may be in it twice
	for i, p := range seen {
		seen[i].From = nowFrom(were, p.Probe.From)
	}
	for _, p := range seen {
		p.Reset()
	}
}
