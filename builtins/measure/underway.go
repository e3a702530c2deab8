package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"fmt"
	"slices"

	"go.starlark.net/starlark"
)

// underWay is a machine to which numbers are sent while the answers to earlier ones are still to come. Each number is read when it
// is due: its latency after its start. It is read on the machine itself: a read that clears its probe has cleared it.
type underWay struct {
	*trial.Rigged
	waiting []waiting // sent and yet to be read; who comes first is due first
	unsure  bool      // of some that was read nothing tells that it arrived

	// To come to this moment again: what was done since base. Where the rig keeps values that change, base is how it was built.
	base  trial.Stand
	deeds []deed
}

// waiting is a number that was sent and is yet to be read.
type waiting struct {
	mark   int // which sending it was, from 1
	number int // which of the numbers
	n      starlark.Value
	due    int64 // the tick at the end of which it is read
}

// deed is what was done to a machine at the end of a tick: a number sent, or, without a mark, a reading.
type deed struct {
	tick int64
	mark int
	n    starlark.Value
}

// fault is a sending that was not answered as it should be.
type fault struct {
	mark int    // which sending, from 1
	got  string // what was read instead, or when it would have to be read
}

// String says what is read: "the second as 5".
func (f *fault) String() string { return "the " + ordinal(f.mark) + " " + f.got }

func startCourse(l *trial.Bay, w *trial.Runner, size int) (*underWay, error) {
	t, err := l.Pose(w, size)
	if err != nil {
		return nil, err
	}
	u := &underWay{Rigged: t}
	if !t.Anew {
		u.base = t.Stand()
	}
	return u, nil
}

// mostDeeds is how many deeds must have been done before a machine at which a glance is enough is kept to go back to.
const mostDeeds = 64

// give sends a number. It takes effect from the next tick on.
func (u *underWay) give(n starlark.Value) error {
	if len(u.waiting) == 0 && !u.Anew && (len(u.deeds) >= mostDeeds || len(u.deeds) > 0 && u.Careful()) {
		u.base, u.deeds = u.Stand(), nil
	}
	err := u.Start(n)
	u.deeds = append(u.deeds, deed{u.Bench.Now().Tick, u.Sent, n})
	return err
}

// read reads, whatever comes of it.
func (u *underWay) read() error {
	_, _, err := u.ReadOnce()
	u.deeds = append(u.deeds, deed{tick: u.Bench.Now().Tick})
	return err
}

// again brings the machine to this moment once more; without: as it would be had one sending not been.
func (u *underWay) again(mark int) func(without bool) error {
	return func(without bool) error {
		skip := 0
		if without {
			skip = mark
		}
		return u.redo(u.deeds, skip, u.Bench.Now().Tick)
	}
}

// redo does once more what was done since base, but for one sending, and lets time pass to a tick.
func (u *underWay) redo(deeds []deed, skip int, tick int64) error {
	if !u.Anew {
		u.To(u.base)
	} else if err := u.Reset(); err != nil {
		return err
	} else {
		u.Begin(0)
	}
	for _, d := range deeds {
		if err := u.Ticks(d.tick - u.Bench.Now().Tick); err != nil {
			return err
		}
		var err error
		if d.mark == 0 {
			_, _, err = u.ReadOnce()
		} else if d.mark != skip {
			err = u.Rigged.Give(d.n)
		}
		if err != nil {
			return err
		}
	}
	return u.Ticks(tick - u.Bench.Now().Tick)
}

// halt is a machine under way at one moment.
type halt struct {
	now, base trial.Stand
	tick      int64
	waiting   []waiting
	deeds     []deed
}

func (u *underWay) halt() halt {
	h := halt{base: u.base, tick: u.Bench.Now().Tick, waiting: slices.Clone(u.waiting), deeds: slices.Clip(u.deeds)}
	if !u.Anew {
		h.now = u.Stand()
	}
	return h
}

func (u *underWay) resume(h halt) error {
	u.waiting, u.deeds, u.base = slices.Clone(h.waiting), h.deeds, h.base
	if u.Anew {
		return u.redo(h.deeds, 0, h.tick)
	}
	u.To(h.now)
	return nil
}

// send sends a number that is to be read when it is due.
func (u *underWay) send(number int, a *alone) (*fault, error) {
	due := u.Bench.Now().Tick + a.latency
	if k := len(u.waiting); k > 0 && u.waiting[k-1].due >= due {
		return &fault{u.Sent + 1, fmt.Sprintf("before %s, or together with it: alone it is read after %s", builtins.Show(u.waiting[k-1].n), say.Count(int(max(a.latency-1, 0)), "tick"))}, nil
	}
	if err := u.give(a.n); err != nil {
		return nil, err
	}
	u.waiting = append(u.waiting, waiting{u.Sent, number, a.n, due})
	return nil, nil
}

// until lets time pass to the end of a tick and reads what is due on the way. judge: to find out what it is worth. last, if not nil,
// is told before the last number that waits is read.
func (u *underWay) until(tick int64, judge bool, last func()) (*fault, error) {
	for len(u.waiting) > 0 && u.waiting[0].due <= tick {
		w := u.waiting[0]
		if f, err := u.pass(w.due, w.mark); f != nil || err != nil {
			return f, err
		}
		if last != nil && len(u.waiting) == 1 {
			last()
		}
		if !judge {
			if err := u.read(); err != nil {
				return nil, err
			}
		} else {
			a, err := u.Answer(w.mark, w.n, u.again(w.mark))
			if err != nil {
				return nil, err
			}
			u.deeds = append(u.deeds, deed{tick: u.Bench.Now().Tick})
			if !a.Says() {
				return &fault{w.mark, "as " + a.String()}, nil
			}
			u.unsure = u.unsure || a.Verdict == trial.Unsure
		}
		u.waiting = u.waiting[1:]
	}
	return u.pass(tick, u.Sent)
}

// pass lets time pass to the end of a tick. A run that does not end is a fault of a sending.
func (u *underWay) pass(tick int64, mark int) (*fault, error) {
	return u.ran(u.Ticks(tick-u.Bench.Now().Tick), mark)
}

func (u *underWay) ran(err error, mark int) (*fault, error) {
	if err == nil {
		return nil, nil
	}
	if stopped := u.Env.Stopped(); stopped != nil {
		return nil, stopped
	}
	return &fault{mark, "as nothing: " + say.Clean(builtins.Message(err))}, nil
}

// settle lets time pass until all is read and quiet.
func (u *underWay) settle(judge bool, last func()) (*fault, error) {
	if k := len(u.waiting); k > 0 {
		if f, err := u.until(u.waiting[k-1].due, judge, last); f != nil || err != nil {
			return f, err
		}
	}
	return u.ran(u.Quiet(), u.Sent)
}

// state is all that what comes next depends on, if send and read neither look at the clock nor count what came before.
type state struct {
	sum     uint64
	random  builtins.Random
	waiting string
}

func (u *underWay) state() state {
	s := state{sum: u.Bench.Fingerprint(), random: u.Env.Random}
	for _, w := range u.waiting {
		s.waiting += fmt.Sprint(w.number, " ", w.due-u.Bench.Now().Tick, " ")
	}
	return s
}
