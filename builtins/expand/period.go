package expand

import (
	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"fmt"
)

// How machines are built, and not run, to see that they go on as they began.
const (
	farBuilt  = 512 // the size of one that is
	mostKinds = 2   // a period may be as long as this part of all sizes
)

// period is how a machine repeats, read off the machine as built: p sizes more are c slices more, like those before them.
type period struct {
	sizes, slices int
	from          int    // and all sizes from this one on, as far as they were built
	built         int    // all sizes up to this were built
	far           int    // and this one; 0: it has no plan
	largest       string // why the one far larger cannot be built, as it seems
	head, tail    int    // slices at either end that do not repeat, of the largest of these that is shown in full: the same for all
	breakAt       int    // the size, so far as can be told, at which slices no longer go on as before; 0: they do, or never did
	why           string // why there is none
}

// plan builds a machine of that size and writes down its slices.
func (x *expansion) plan(size int) (*plan, error) {
	if p := x.plans[size]; p != nil {
		return p, nil
	}
	var p *plan
	switch t, err := x.Pose(x.One(), size); {
	case x.C.Env.Stopped() != nil:
		return nil, x.C.Env.Stopped()
	case err != nil:
		p = &plan{amiss: fmt.Sprintf("size %d: %s", size, say.Clean(builtins.Message(err))), failed: true}
	default:
		p = x.slicer.plan(t.Bench)
		p.leaves = x.slicer.leaves(t.Rig)
	}
	x.plans[size] = p
	return p, nil
}

// find finds the period of the machine. All sizes up to one are built, and one far larger; of a chain of slices only the largest, for
// the smaller ones are its beginning.
func (x *expansion) find(least, upto int) (err error) {
	x.period = period{built: upto, far: max(farBuilt, 2*upto)}
	plan := func(size int) *plan {
		p, e := x.plan(size)
		if e != nil {
			err = e
		}
		return p
	}
	if !x.Chained {
		for size := least; size <= upto; size++ {
			if plan(size); err != nil {
				return err
			}
		}
	}
	far := plan(x.far)
	if err == nil && far.amiss != "" { // it may have a largest size
		if x.far = 0; far.failed {
			x.largest = far.amiss
		}
	}
	more := func(size, p int) int {
		a, b := plan(size), plan(size+p)
		if err != nil {
			return 0
		}
		c := a.more(b)
		if c > 0 {
			if _, like := a.grows(b, c, 1); !like { // what was put in is none of what was there before
				return 0
			}
		}
		return c
	}
	bad := 0
	for p := 1; p <= upto/mostKinds && upto-p >= least && err == nil; p++ {
		c := more(upto-p, p)
		same := c > 0
		for size := upto - p - 1; same && size >= max(least, upto-2*p); size-- {
			same = more(size, p) == c
		}
		if !same || err != nil {
			continue
		}
		if x.far > 0 {
			base := upto - ((upto-x.far)%p+p)%p
			if base < least {
				continue
			}
			if k, ok := plan(base).grows(far, c, (x.far-base)/p); !ok {
				if bad == 0 {
					bad = k*p/c + 1
				}
				continue
			}
		}
		x.sizes, x.slices, x.from = p, c, least
		x.head, x.tail = plan(upto-p).ends(plan(upto), c)
		if !x.Chained {
			for x.from = upto - p; x.from > least && more(x.from-1, p) == c; {
				x.from--
			}
		}
		return err
	}
	if err != nil {
		return err
	}
	switch last := plan(upto); {
	case last.amiss != "":
		x.why = last.amiss
	case bad > upto:
		x.breakAt = bad
		x.why = fmt.Sprintf("built larger, its slices do not go on as they do up to size %d: about slice %d one is not like those before it", upto, bad)
	default:
		x.why = x.odd(least, upto, more, bad > 0)
	}
	return err
}

// odd says of a machine without a period what does not repeat; but: it would, were it not for the one built far larger.
func (x *expansion) odd(least, upto int, more func(size, p int) int, but bool) string {
	// A longer period would have to be seen to put in what is there before, and that takes three of it.
	none := fmt.Sprintf("no number of sizes up to %d puts in slices like those before them, all touching only what is near; a longer one may show with a larger upto=", upto/3)
	if x.Chained {
		return "as built, its slices do not repeat: " + none
	}
	broken, others := 0, 0 // sizes that are not the one before with slices put in, wherever they are cut
	for size := least + 1; size <= upto; size++ {
		if _, _, overlap := insertion(x.plans[size-1].made, x.plans[size].made, like); overlap < 0 {
			broken, others = size, others+1
		}
	}
	if others < 2 {
		otherwise := "as built, its slices do not repeat: " + none
		if but {
			otherwise = fmt.Sprintf("built larger, its slices do not go on as they do up to size %d: those of size %d are not made so", upto, x.far)
		}
		return x.late(least, upto, more, otherwise)
	}
	b := x.plans[broken]
	left, right, _ := insertion(x.plans[broken-1].made, b.made, like)
	return fmt.Sprintf("as built, size %d is not size %d with slices put in: of its %s only the first %d and the last %d are made as there; the same goes for %s; %s",
		broken, broken-1, say.Count(len(b.made), "slice"), left, right, say.Count(others-1, "smaller size"), none)
}

// late says of a machine without a period up to which size every size was the one before with a slice more.
func (x *expansion) late(least, upto int, more func(size, p int) int, otherwise string) string {
	for size := upto - 2; size >= least+2; size-- {
		if c := more(size, 1); c > 0 && more(size-1, 1) == c && more(size-2, 1) == c && more(size+1, 1) != c {
			x.breakAt = size + 2
			first := size - 2
			for first > least && more(first-1, 1) == c {
				first--
			}
			return fmt.Sprintf("as built, size %d is not size %d with %s more, made like those before; from size %d up to there it was so", size+2, size+1, say.Count(c, "slice"), first)
		}
	}
	return otherwise
}

// like compares slices as built.
func like(a, b uint64) bool { return a == b }
