package builtins

import (
	"fmt"
	"slices"

	"go.starlark.net/starlark"
)

// underWay is a machine to which numbers are sent while the answers to earlier ones are still to come. Each number is read when it
// is due: its latency after its start. It is read on the machine itself: a read that clears its probe has cleared it.
type underWay struct {
	*rigged
	waiting []waiting // sent and yet to be read; who comes first is due first
	untold  bool      // of some that was read nothing tells that it arrived

	// To come to this moment again: what was done since base. Where the rig keeps values that change, base is how it was built.
	base  stand
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

func startCourse(l *bay, w *runner, size int) (*underWay, error) {
	t, err := l.pose(w, size)
	if err != nil {
		return nil, err
	}
	u := &underWay{rigged: t}
	if !t.anew {
		u.base = t.stand()
	}
	return u, nil
}

// give sends a number. It takes effect from the next tick on.
func (u *underWay) give(n starlark.Value) error {
	if len(u.waiting) == 0 && len(u.deeds) > 0 && !u.anew {
		u.base, u.deeds = u.stand(), nil
	}
	err := u.start(n)
	u.deeds = append(u.deeds, deed{u.bench.Now().Tick, u.sent, n})
	return err
}

// read reads, whatever comes of it.
func (u *underWay) read() error {
	_, _, err := u.readOnce()
	u.deeds = append(u.deeds, deed{tick: u.bench.Now().Tick})
	return err
}

// again brings the machine to this moment once more; without: as it would be had one sending not been.
func (u *underWay) again(mark int) func(without bool) error {
	return func(without bool) error {
		skip := 0
		if without {
			skip = mark
		}
		return u.redo(u.deeds, skip, u.bench.Now().Tick)
	}
}

// redo does once more what was done since base, but for one sending, and lets time pass to a tick.
func (u *underWay) redo(deeds []deed, skip int, tick int64) error {
	if !u.anew {
		u.to(u.base)
	} else if err := u.reset(); err != nil {
		return err
	} else {
		u.begin(0)
	}
	for _, d := range deeds {
		if err := u.ticks(d.tick - u.bench.Now().Tick); err != nil {
			return err
		}
		var err error
		if d.mark == 0 {
			_, _, err = u.readOnce()
		} else if d.mark != skip {
			err = u.rigged.give(d.n)
		}
		if err != nil {
			return err
		}
	}
	return u.ticks(tick - u.bench.Now().Tick)
}

// halt is a machine under way at one moment.
type halt struct {
	now, base stand
	tick      int64
	waiting   []waiting
	deeds     []deed
}

func (u *underWay) halt() halt {
	h := halt{base: u.base, tick: u.bench.Now().Tick, waiting: slices.Clone(u.waiting), deeds: slices.Clip(u.deeds)}
	if !u.anew {
		h.now = u.stand()
	}
	return h
}

func (u *underWay) resume(h halt) error {
	u.waiting, u.deeds, u.base = slices.Clone(h.waiting), h.deeds, h.base
	if u.anew {
		return u.redo(h.deeds, 0, h.tick)
	}
	u.to(h.now)
	return nil
}

// send sends a number that is to be read when it is due.
func (u *underWay) send(number int, a *alone) (*fault, error) {
	due := u.bench.Now().Tick + a.latency
	if k := len(u.waiting); k > 0 && u.waiting[k-1].due >= due {
		return &fault{u.sent + 1, fmt.Sprintf("before %s, or together with it: alone it is read after %s", show(u.waiting[k-1].n), count(int(max(a.latency-1, 0)), "tick"))}, nil
	}
	if err := u.give(a.n); err != nil {
		return nil, err
	}
	u.waiting = append(u.waiting, waiting{u.sent, number, a.n, due})
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
			a, err := u.answer(w.mark, w.n, u.again(w.mark))
			if err != nil {
				return nil, err
			}
			u.deeds = append(u.deeds, deed{tick: u.bench.Now().Tick})
			if !a.says() {
				return &fault{w.mark, "as " + a.String()}, nil
			}
			u.untold = u.untold || a.verdict == untold
		}
		u.waiting = u.waiting[1:]
	}
	return u.pass(tick, u.sent)
}

// pass lets time pass to the end of a tick. A run that does not end is a fault of a sending.
func (u *underWay) pass(tick int64, mark int) (*fault, error) {
	return u.ran(u.ticks(tick-u.bench.Now().Tick), mark)
}

func (u *underWay) ran(err error, mark int) (*fault, error) {
	if err == nil {
		return nil, nil
	}
	if stopped := u.env.stopped(); stopped != nil {
		return nil, stopped
	}
	return &fault{mark, "as nothing: " + clean(message(err))}, nil
}

// settle lets time pass until all is read and quiet.
func (u *underWay) settle(judge bool, last func()) (*fault, error) {
	if k := len(u.waiting); k > 0 {
		if f, err := u.until(u.waiting[k-1].due, judge, last); f != nil || err != nil {
			return f, err
		}
	}
	return u.ran(u.quiet(), u.sent)
}

// state is all that what comes next depends on, if send and read neither look at the clock nor count what came before.
type state struct {
	sum     uint64
	random  Random
	waiting string
}

func (u *underWay) state() state {
	s := state{sum: u.bench.Fingerprint(), random: u.env.Random}
	for _, w := range u.waiting {
		s.waiting += fmt.Sprint(w.number, " ", w.due-u.bench.Now().Tick, " ")
	}
	return s
}
