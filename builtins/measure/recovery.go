package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/trial"

	"math/rand/v2"
	"slices"

	"go.starlark.net/starlark"
)

func recoveryWords() []builtins.Entry {
	return []builtins.Entry{{Name: "recovery", Topic: "experiments", Sentence: "Finds the smallest gap, in ticks from the start of one transmission to the start of the next, from which on every number is answered, however many are sent; and what each transmission leaves changed.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "what to try"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers to send after each other; None: those of the design"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDoc}},
		Returns: "a report with .ticks (None: no gap is long enough), .states (how many states of the machine that was shown in; None: not for any number of sendings), .pairs, .pairs_ticks (the gap in ticks from which on all pairs are answered), .course .apart .got (numbers that fail one tick earlier, the gaps between their starts in ticks, None where each was sent at rest, and how; .first .second if they are a pair), .unsure (pairs of which nothing tells that the second arrived), .gaps (the longest gap in ticks after which anything is still under way), .trials, .left (what a transmission leaves changed), .latency and .back (ticks after its start, by number: until it reads right, None if nothing tells; and until all is quiet)",
		Example: trial.PlainFunctions + "line = struct(name=\"plain line\", build=build, send=send, read=read, over=[1, 2, 9])\nr = recovery(line)\nexpect_equal(r.ticks, 1)\nexpect_equal(r.left, [])\nprint(r)",
		See:     []string{"compare", "datasheet"}, Call: recover_}}
}

func recover_(c *builtins.Call) (starlark.Value, error) {
	m := trial.DesignArg(c, "design")
	if c.Err != nil {
		return nil, c.Err
	}
	defer trial.FenceIn(c.Env, m.Functions()...)()
	l := trial.NewBay(c, m)
	defer l.Close()
	size := trial.SizeOf(c, m, "size", 0)
	numbers := l.Values(l.C, "over", size)
	if c.Err != nil {
		return nil, c.Err
	}
	r, err := recoveryOf(l, numbers, size)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return r.report(), nil
}

// recovered is what recovery found.
type recovered struct {
	l     *trial.Bay
	size  int
	alone []alone
	anew  bool  // the rig keeps values that change: its state does not tell all
	ticks int64 // 0: no gap is long enough
	pairs int64 // the gap from which on pairs are answered; 0: none
	rest  *courses
	at    *courses // those of the gap found
	all   bool     // all states were tried, at this gap and at all longer ones
	every int      // if not: all courses of so many numbers were
	gaps  int64    // ticks after which all is quiet, whatever was sent
	long  int      // how many long courses were tried

	failed []int   // the shortest course that fails one tick earlier, or at rest if ticks is 0
	apart  []int64 // the gaps in it, in ticks; nil: one tick less than ticks
	fault  *fault

	posed state            // the state as built
	root  []edge           // what each number does then
	after [][]edge         // what each does at rest after one number
	known map[state][]edge // what each does in a state of rest
}

// recovery looks for the gap. Each number is read when it is due: its latency, on a machine at rest, after its start; the last of
// a course once more when all is quiet; and what is read must be an answer to it. A gap that ends when all is quiet is as
// good as any longer one, for on a quiet bench nothing changes; so the gaps to be tried are few. First those at rest are
// tried, then with less and less time between.
func recoveryOf(l *trial.Bay, numbers []starlark.Value, size int) (*recovered, error) {
	n := len(numbers)
	r := &recovered{l: l, size: size, alone: make([]alone, n), after: make([][]edge, n), known: map[state][]edge{}}
	err := l.Each("recovery: numbers alone", n, func(w *trial.Runner, i int) (err error) {
		r.alone[i], err = sendAlone(l, w, numbers, i, size)
		return err
	}, func(i int) (bool, error) {
		l.Trials += r.alone[i].trials
		r.anew = r.anew || r.alone[i].anew
		r.gaps = max(r.gaps, r.alone[i].back)
		return true, nil
	})
	if err != nil {
		return nil, err
	}
	r.rest = newCourses(0, false, nil)
	if err := r.try([]*courses{r.rest}); err != nil {
		return nil, err
	}
	if r.rest.failed != nil {
		r.failed, r.fault = r.rest.failed, r.rest.fault
		return r, nil
	}
	if err := r.narrow(); err != nil {
		return nil, err
	}
	return r, r.sustain()
}

// timed are the numbers whose latency is that of a machine as built.
func (r *recovered) timed() (as []alone) {
	for _, a := range r.alone {
		if !a.silent && !a.second {
			as = append(as, a)
		}
	}
	return as
}

// narrow goes down from rest, gap by gap, several at once to keep all workers busy, as long as all courses are answered, and from
// there on as long as pairs are.
func (r *recovered) narrow() error {
	const what = "recovery: gaps"
	defer r.l.Env.Tell(what, r.gaps, r.gaps)
	r.ticks, r.pairs, r.all = max(r.gaps, 1), max(r.gaps, 1), true
	r.answers(r.rest)
	for top := r.ticks - 1; top >= 1; {
		rows := make([]*courses, min(top, int64(max(1, 32/len(r.alone)))))
		for i := range rows {
			rows[i] = newCourses(top-int64(i), r.failed != nil, r.root)
		}
		if err := r.try(rows); err != nil {
			return err
		}
		for _, cs := range rows {
			if cs.failed != nil && r.failed == nil {
				r.failed, r.fault = cs.failed, cs.fault
			}
			if len(cs.failed) > 0 && len(cs.failed) <= 2 {
				return nil
			}
			if r.pairs = cs.gap; r.failed == nil {
				r.ticks = cs.gap
				r.answers(cs)
			}
		}
		top -= int64(len(rows))
		r.l.Env.Tell(what, r.gaps-top, r.gaps)
	}
	return nil
}

// answers takes the courses of a gap for those of the gap found: all are answered.
func (r *recovered) answers(cs *courses) {
	if r.at = cs; !cs.all && (r.all || cs.every < r.every) {
		r.every = cs.every
	}
	r.all = r.all && cs.all
}

// How many long courses are tried at the gap found, and how many numbers each has. Where all states were tried, only what no state
// tells is left to be found, and half of them do.
const (
	longCourses = 4
	longCourse  = 48
)

// sustain sends long courses, drawn from the seed: in half of them the gaps are drawn, too. It looks at what a state does not tell,
// such as a read that counts. If one fails, the gap is too short.
func (r *recovered) sustain() error {
	for ; ; r.ticks++ {
		r.long = longCourses
		if r.all {
			r.long /= 2
		}
		tried := make([]long, r.long)
		bad := -1
		err := r.l.Each("recovery: long courses", r.long, func(w *trial.Runner, i int) (err error) {
			tried[i] = r.draw(i)
			return tried[i].run(w, r)
		}, func(i int) (bool, error) {
			r.l.Trials++
			if tried[i].fault != nil {
				bad = i
			}
			return bad < 0, nil
		})
		if err != nil || bad < 0 {
			return err
		}
		c, err := tried[bad].shortest(r.l.One(), r)
		if err != nil {
			return err
		}
		r.failed, r.apart, r.fault = c.numbers, c.apart, c.fault
		switch next := r.ticks + 1; {
		case next > max(r.gaps, 1):
			r.ticks = 0
			return nil
		case next == r.gaps:
			r.at = r.rest
		default:
			cs := newCourses(next, false, r.root)
			if err := r.try([]*courses{cs}); err != nil {
				return err
			}
			r.answers(cs)
		}
	}
}

// long is a long course: each number is sent so many ticks after the one before.
type long struct {
	numbers []int
	apart   []int64 // one less than numbers
	fault   *fault
}

// draw draws a long course from the seed.
func (r *recovered) draw(i int) (c long) {
	random := builtins.NewRandom(r.l.Env.Seed, 1<<40+uint64(r.ticks)<<8+uint64(i))
	from := rand.New(&random.Pcg)
	for range longCourse {
		c.numbers = append(c.numbers, from.IntN(len(r.alone)))
		gap := r.ticks
		if i%2 == 1 {
			gap += from.Int64N(max(r.gaps-r.ticks, 1) + 2)
		}
		c.apart = append(c.apart, gap)
	}
	c.apart = c.apart[1:]
	return c
}

// run sends the course until a sending is not answered.
func (c *long) run(w *trial.Runner, r *recovered) error {
	u, err := startCourse(r.l, w, r.size)
	if err != nil {
		return err
	}
	c.fault = nil
	for i, k := range c.numbers {
		f, err := u.send(k, &r.alone[k])
		if f == nil && err == nil {
			if i < len(c.apart) {
				f, err = u.wait(c.apart[i], true)
			} else {
				f, err = u.settle(true, nil)
			}
		}
		if err != nil {
			return err
		}
		if f != nil {
			c.numbers, c.apart, c.fault = c.numbers[:i+1], c.apart[:i], f
			return nil
		}
	}
	return nil
}

// shortest gives the shortest end of a course that fails and still does so.
func (c long) shortest(w *trial.Runner, r *recovered) (long, error) {
	for i := len(c.numbers) - 2; i > 0; i-- {
		end := long{numbers: slices.Clone(c.numbers[i:]), apart: slices.Clone(c.apart[i:])}
		if err := end.run(w, r); err != nil || end.fault != nil {
			return end, err
		}
	}
	return c, nil
}
