package invent

import (
	"context"
	"fmt"
	"math"
	"math/big"
	"slices"
	"sync"
	"sync/atomic"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// arrangement is what stands in each cell of the box: 0 for nothing, else 1 and the number of the option.
type arrangement []uint8

// machine is an arrangement in one of the boxes of a search.
type machine struct {
	Box int         `json:"box"`
	In  arrangement `json:"in"`
	Is  *measures   `json:"is,omitempty"`
}

// tally counts arrangements: of alike ones one was run, of mirrored and turned ones one, and those that fall apart were not run.
type tally struct {
	Run     int64 `json:"run"`
	Unbuilt int64 `json:"unbuilt"`
	Turned  int64 `json:"turned"`
	Like    int64 `json:"like"`
	Apart   int64 `json:"apart"`
	GivenUp int64 `json:"given_up"` // of those that were run
}

func (t *tally) add(o tally) {
	t.Run, t.Unbuilt, t.Turned, t.Like, t.Apart, t.GivenUp = t.Run+o.Run, t.Unbuilt+o.Unbuilt, t.Turned+o.Turned, t.Like+o.Like, t.Apart+o.Apart, t.GivenUp+o.GivenUp
}

func (t *tally) all() int64 { return t.Run + t.Unbuilt + t.Turned + t.Like + t.Apart }

// outcome is what came of one unit of work, or of many.
type outcome struct {
	Parts int `json:"parts"` // how many parts its arrangements have; of a try: 0
	Unit  int `json:"unit"`  // which of those it is
	tally
	Found    int64     `json:"found"`
	Machines []machine `json:"machines,omitempty"` // the first of them
	Front    []machine `json:"front,omitempty"`    // those that none of the others betters in everything
	Near     *nearest  `json:"near,omitempty"`     // of a try: what it came to

	open int // of many: how many parts the least that was given up has
}

// mostMachines is how many machines a report names.
const mostMachines = 100

// merge takes in what came of a unit. Units are merged in their order.
func (o *outcome) merge(u *outcome) {
	if u.GivenUp > 0 && (o.GivenUp == 0 || u.Parts < o.open) {
		o.open = u.Parts
	}
	o.tally.add(u.tally)
	o.Found += u.Found
	o.Machines = append(o.Machines, u.Machines[:min(len(u.Machines), mostMachines-len(o.Machines))]...)
	for _, m := range u.Front {
		o.Front = joinFront(o.Front, m)
	}
	if u.Near != nil && (o.Near == nil || u.Near.nearer(o.Near)) {
		o.Near = u.Near
	}
}

// arrangements is how many there are of up to so many parts: every choice of cells, every option in each.
func (b *boxed) arrangements(parts int) *big.Int {
	sum := new(big.Int)
	for k := 0; k <= parts; k++ {
		sum.Add(sum, b.exactly(k))
	}
	return sum
}

// exactly is how many arrangements there are of so many parts.
func (b *boxed) exactly(parts int) *big.Int {
	n := new(big.Int).Binomial(int64(len(b.cells)), int64(parts))
	return n.Mul(n, new(big.Int).Exp(big.NewInt(int64(len(b.options))), big.NewInt(int64(parts)), nil))
}

// mostUnits is into how many units the arrangements of so many parts in one box are cut at most.
const mostUnits = 1000

// pieces are the smallest pieces of work that a box with so many parts is cut into: for each set of cells one for each option of its first cell.
func (b *boxed) pieces(parts int) int64 {
	n := new(big.Int).Binomial(int64(len(b.cells)), int64(parts))
	if n.Mul(n, big.NewInt(int64(b.each(parts)))); n.IsInt64() {
		return n.Int64()
	}
	return math.MaxInt64 // it does not come to an end anyway
}

func (b *boxed) each(parts int) int {
	if parts == 0 {
		return 1
	}
	return len(b.options)
}

// choose gives the set of k cells that comes at a place in their order.
func (b *boxed) choose(k int, at int64) []int {
	set := make([]int, 0, k)
	for c := 0; len(set) < k; c++ {
		with := new(big.Int).Binomial(int64(len(b.cells)-c-1), int64(k-len(set)-1)) // sets that have this cell next
		if with.IsInt64() && with.Int64() <= at {
			at -= with.Int64()
			continue
		}
		set = append(set, c)
	}
	return set
}

// after makes a set of cells the next one.
func (b *boxed) after(set []int) {
	i := len(set) - 1
	for i >= 0 && set[i] == len(b.cells)-len(set)+i {
		i--
	}
	if i < 0 {
		return
	}
	set[i]++
	for j := i + 1; j < len(set); j++ {
		set[j] = set[j-1] + 1
	}
}

// unit does a unit of the work on arrangements of so many parts: some of its pieces.
func (t *trying) unit(parts, part, of int) {
	n := t.pieces(parts)
	size, rest := n/int64(of), n%int64(of)
	from := size*int64(part) + min(rest, int64(part))
	to := from + size
	if int64(part) < rest {
		to++
	}
	each := int64(t.each(parts))
	if from >= to {
		return
	}
	set := t.choose(parts, from/each)
	for i := from; i < to && !t.over; i++ {
		if i > from && i%each == 0 {
			t.after(set)
		}
		t.set(set, int(i%each))
	}
}

// searching is a search under way.
type searching struct {
	*searchPlan
	boxes   []*boxed
	workers int
	portion builtins.Portion // zero: all of it
	have    map[[2]int]outcome
	record  func(*outcome) error // what was done, in order; may be nil
	tell    func(what string, done, total int64)

	sum     outcome // of all that was done
	last    int     // parts in the last round
	done    int     // units of it that were done whole
	of      int     // of so many
	begun   int     // units that were begun, and not done whole
	stopped bool
}

// share is how many units the arrangements of so many parts in a box are cut into.
func (b *boxed) share(parts int) int { return int(min(b.pieces(parts), mostUnits)) }

// run goes through the rounds: fewest parts first, or one try after the other.
func (s *searching) run(ctx context.Context) error {
	if s.Tries > 0 {
		return s.generations(ctx)
	}
	total := new(big.Int)
	for k := 0; k <= s.Most; k++ {
		var shares [][2]int // box and unit in it
		for i, b := range s.boxes {
			if total.Add(total, b.exactly(k)); !total.IsInt64() {
				return uncounted{k, total}
			}
			for u := range b.share(k) {
				shares = append(shares, [2]int{i, u})
			}
		}
		news := func(found int64) string {
			switch {
			case found > 0:
				least := k
				if s.sum.Found > 0 {
					least = s.sum.Machines[0].In.parts()
				}
				return fmt.Sprintf("best so far: %s; %s found", say.Count(least, "part"), say.Count(int(found), "machine"))
			case k == 0:
				return ""
			case s.sum.GivenUp > 0:
				return "none found of fewer"
			}
			return "none of fewer"
		}
		err := s.round(ctx, k, 0, len(shares), "search: "+say.Count(k, "part"), news, func(t []*trying, u int) *outcome {
			i := shares[u][0]
			if t[i] == nil {
				t[i] = newTrying(s.boxes[i])
			}
			t[i].begin(k, u, i, func() bool { return ctx.Err() != nil })
			t[i].unit(k, shares[u][1], s.boxes[i].share(k))
			return t[i].end()
		})
		if err != nil || s.stopped || s.sum.Found > 0 && !s.All {
			return err
		}
	}
	return nil
}

// uncounted is how many arrangements there are of up to so many parts, where that is more than can be counted as they are gone through.
type uncounted struct {
	parts int
	n     *big.Int
}

func (e uncounted) Error() string {
	return fmt.Sprintf("there are %v arrangements of up to %s, more than can be gone through and counted: want a smaller box, fewer kinds, most=%d, or tries= for a search by lot", e.n, say.Count(e.parts, "part"), e.parts-1)
}

// begin begins a unit.
func (t *trying) begin(parts, unit, box int, ended func() bool) {
	t.outcome, t.ended, t.over, t.box = outcome{Parts: parts, Unit: unit}, ended, false, box
}

// end is what came of it.
func (t *trying) end() *outcome {
	o := t.outcome
	return &o
}

// takes takes down an arrangement that does the task.
func (t *trying) takes() {
	m := machine{Box: t.box, In: slices.Clone(t.now)}
	t.Found++
	if len(t.Machines) < mostMachines {
		t.Machines = append(t.Machines, m)
	}
	t.front(m)
}

// round does units from one on, on all workers, and merges what comes of them in order. news tells what was found so far.
func (s *searching) round(ctx context.Context, parts, from, to int, what string, news func(found int64) string, do func(t []*trying, unit int) *outcome) error {
	var units []int
	for u := from; u < to; u++ {
		if s.portion.Count == 0 || u%s.portion.Count == s.portion.Index-1 {
			units = append(units, u)
		}
	}
	s.last, s.of, s.done = parts, len(units), 0
	came := make([]*outcome, len(units))
	whole := make([]bool, len(units))
	var next, found atomic.Int64
	var lock sync.Mutex
	var failed error
	told := 0
	finish := func(i int) {
		lock.Lock()
		defer lock.Unlock()
		found.Add(came[i].Found)
		for whole[i] = true; told < len(units) && whole[told]; told++ {
			if _, was := s.have[[2]int{parts, units[told]}]; !was && s.record != nil && failed == nil {
				failed = s.record(came[told])
			}
		}
		text := what
		if n := news(s.sum.Found + found.Load()); n != "" {
			text += "; " + n
		}
		s.done++
		s.tell(text, int64(s.done), int64(len(units)))
	}
	var wait sync.WaitGroup
	for range max(1, min(s.workers, len(units))) {
		wait.Go(func() {
			t := make([]*trying, len(s.boxes))
			for i := int(next.Add(1)) - 1; i < len(units) && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				if o, was := s.have[[2]int{parts, units[i]}]; was {
					came[i] = &o
					finish(i)
					continue
				}
				came[i] = do(t, units[i])
				if ctx.Err() == nil {
					finish(i)
				}
			}
		})
	}
	wait.Wait()
	s.stopped = ctx.Err() != nil && s.done < len(units)
	s.tell(what, 1, 1)
	s.begun = 0
	for i, o := range came {
		if o != nil {
			s.sum.merge(o)
			s.begun += builtins.BoolInt(!whole[i])
		}
	}
	return failed
}
