package expand

import (
	"errors"
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// How machines are built, and not run, to see that they go on as they began.
const (
	farBuilt  = 512 // the size of one that is
	mostKinds = 2   // a period may be as long as this part of all sizes
	longest   = 4   // one that is as long as this part of them is seen in them
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
	case errors.Is(err, builtins.ErrDeep):
		return nil, err
	case err != nil:
		p = &plan{amiss: fmt.Sprintf("size %d: %s", size, say.Clean(builtins.Message(err))), failed: true}
	default:
		p = x.slicer.plan(t.Bench)
		p.leaves = x.slicer.leaves(t.Rig)
	}
	x.plans[size] = p
	return p, nil
}

// search looks for the period of a machine, in all sizes from least to upto.
type search struct {
	*expansion
	least, upto int
	err         error // stopped
}

// plan is that of a size; an empty one if the search was stopped.
func (s *search) plan(size int) *plan {
	if s.err == nil {
		var p *plan
		if p, s.err = s.expansion.plan(size); s.err == nil {
			return p
		}
	}
	return &plan{amiss: "stopped"}
}

// more is how many slices p sizes more put in, each like one before; 0 if they do other than that.
func (s *search) more(size, p int) int {
	a, b := s.plan(size), s.plan(size+p)
	c := a.more(b)
	if c > 0 {
		if _, like := a.grows(b, c, 1); !like { // what was put in is none of what was there before
			return 0
		}
	}
	return c
}

// fits reports whether the machine repeats after p sizes: whether so many more always put in as many slices, also in the one far larger. bad is
// the size, so far as can be told, at which that one no longer does; 0: it is not so before.
func (s *search) fits(p int) (bad int, ok bool) {
	c := s.more(s.upto-p, p)
	for size := s.upto - p - 1; c > 0 && size >= max(s.least, s.upto-2*p); size-- {
		if s.more(size, p) != c {
			return 0, false
		}
	}
	if c == 0 || s.err != nil {
		return 0, false
	}
	if s.far > 0 {
		base := s.upto - ((s.upto-s.far)%p+p)%p
		if base < s.least {
			return 0, false
		}
		if k, ok := s.plan(base).grows(s.plan(s.far), c, (s.far-base)/p); !ok {
			return k*p/c + 1, false
		}
	}
	s.sizes, s.slices, s.from = p, c, s.least
	s.head, s.tail = s.plan(s.upto-p).ends(s.plan(s.upto), c)
	if !s.Chained {
		for s.from = s.upto - p; s.from > s.least && s.more(s.from-1, p) == c; {
			s.from--
		}
	}
	return 0, s.err == nil
}

// build builds all sizes; of a chain of slices the largest is enough, for the smaller ones are its beginning.
func (s *search) build() {
	for size := s.least; size <= s.upto && !s.Chained && s.err == nil; size++ {
		s.plan(size)
	}
	s.plan(s.upto)
	s.built = s.upto
}

// find finds the period of the machine. All sizes up to one are built, and one far larger. Where too few are for a long period, it shows in
// the slices of the one far larger, and as many sizes more are built as it takes to see it.
func (x *expansion) find(least, upto int) error {
	x.period = period{far: max(farBuilt, 2*upto)}
	s := &search{x, least, upto, nil}
	s.build()
	if far := s.plan(x.far); s.err == nil && far.amiss != "" { // it may have a largest size
		if x.far = 0; far.failed {
			x.largest = far.amiss
		}
	}
	bad := 0
	for p := 1; p <= upto/mostKinds && upto-p >= least && s.err == nil; p++ {
		k, ok := s.fits(p)
		if ok {
			return nil
		}
		if bad == 0 {
			bad = k
		}
	}
	long, takes := s.long()
	if takes > upto && takes <= everySize {
		more := &search{x, least, takes, nil}
		if _, ok := more.fits(long); ok {
			more.build()
		}
		if s.err = more.err; s.err == nil && x.sizes > 0 {
			return nil
		}
	}
	switch last := s.plan(upto); {
	case s.err != nil:
	case last.amiss != "":
		x.why = last.amiss
	case takes > max(upto, everySize):
		x.breakAt = bad
		x.why = fmt.Sprintf("built at size %d, most of its slices come again %s on; whether it is so at every size shows with all sizes up to %d or more: upto=%d", x.far, say.Count(long, "size"), takes, takes)
	case bad > upto:
		x.breakAt = bad
		x.why = fmt.Sprintf("built larger, its slices do not go on as they do up to size %d: about slice %d one is not like those before it", upto, bad)
	default:
		x.why = s.odd(bad > 0)
	}
	return s.err
}

// long finds the period that the slices of the one machine far larger have among themselves, and the size up to which it takes all to see,
// and to show, that the machine goes on so; 0 if they have none, or one that would have been seen.
func (s *search) long() (p, takes int) {
	if s.far == 0 || s.err != nil {
		return 0, 0
	}
	far, near := s.plan(s.far), s.plan(s.upto)
	n := len(far.made)
	slices, sizes := n-len(near.made), s.far-s.upto // about how many slices how many sizes have
	if near.amiss != "" || slices <= 0 {
		return 0, 0
	}
	for g := gcd(slices, sizes); g > 1; g = 1 {
		slices, sizes = slices/g, sizes/g
	}
	for c := 1; c <= n/3; c++ {
		from, to := n/2, n/2
		for from > c && far.made[from-1] == far.made[from-1-c] {
			from--
		}
		for to < n && to >= c && far.made[to] == far.made[to-c] {
			to++
		}
		if to-from < (n-c)/2 {
			continue
		}
		if p = sizes * c / gcd(slices, c); p <= s.upto/longest {
			return 0, 0
		}
		ends := from - c + n - to + 2*far.near + 2
		return p, 4*p + (ends*sizes+slices-1)/slices // one until it repeats, and three to go by
	}
	return 0, 0
}

func gcd(a, b int) int {
	for b > 0 {
		a, b = b, a%b
	}
	return a
}

// odd says of a machine without a period what does not repeat; but: it would, were it not for the one built far larger.
func (s *search) odd(but bool) string {
	// A longer period would have to be seen to put in what is there before, and that takes three of it.
	none := fmt.Sprintf("no number of sizes up to %d puts in slices like those before them, all touching only what is near; a longer one may show with a larger upto=", s.upto/3)
	if s.Chained {
		return "as built, its slices do not repeat: " + none
	}
	broken, others := 0, 0 // sizes that are not the one before with slices put in, wherever they are cut
	for size := s.least + 1; size <= s.upto; size++ {
		if _, _, overlap := insertion(s.plans[size-1].made, s.plans[size].made, like); overlap < 0 {
			broken, others = size, others+1
		}
	}
	if others < 2 {
		otherwise := "as built, its slices do not repeat: " + none
		if but {
			otherwise = fmt.Sprintf("built larger, its slices do not go on as they do up to size %d: those of size %d are not made so", s.upto, s.far)
		}
		return s.late(otherwise)
	}
	b := s.plans[broken]
	left, right, _ := insertion(s.plans[broken-1].made, b.made, like)
	return fmt.Sprintf("as built, size %d is not size %d with slices put in: of its %s only the first %d and the last %d are made as there; the same goes for %s; %s",
		broken, broken-1, say.Count(len(b.made), "slice"), left, right, say.Count(others-1, "smaller size"), none)
}

// late says of a machine without a period up to which size every size was the one before with a slice more.
func (s *search) late(otherwise string) string {
	for size := s.upto - 2; size >= s.least+2; size-- {
		if c := s.more(size, 1); c > 0 && s.more(size-1, 1) == c && s.more(size-2, 1) == c && s.more(size+1, 1) != c {
			s.breakAt = size + 2
			first := size - 2
			for first > s.least && s.more(first-1, 1) == c {
				first--
			}
			return fmt.Sprintf("as built, size %d is not size %d with %s more, made like those before; from size %d up to there it was so", size+2, size+1, say.Count(c, "slice"), first)
		}
	}
	return otherwise
}

// like compares slices as built.
func like(a, b uint64) bool { return a == b }
