package builtins

import (
	"runtime"
	"sync"
	"sync/atomic"

	"pulsewright/engine"

	"golang.org/x/sync/errgroup"
)

// crew is the runners of one experiment: what one has built stays with it from one job to the next.
type crew struct {
	env     *Env
	runners []*runner
	budget  engine.Budget // of every trial

	lock   sync.Mutex
	builds map[recipe]*building // what anyone has begun to build, by place
	parts  int                  // of all that
}

// mostKeptParts is how many parts the rigs may have that are kept for others to copy.
const mostKeptParts = 500_000

// building is a rig that one of the crew builds and the others may copy, once done is closed.
type building struct {
	done  chan struct{}
	built *rigged // as it was then; nil if it could not be built
}

func newCrew(e *Env) *crew { return &crew{env: e} }

// build builds a rig, unless one of the crew has built it, if under other rules, and it can be copied.
func (c *crew) build(t *rigged) error {
	place := t.recipe.place()
	c.lock.Lock()
	if b := c.builds[place]; b != nil {
		c.lock.Unlock()
		if <-b.done; b.built != nil && t.copy(b.built) {
			return nil
		}
		return t.build()
	}
	if c.builds == nil || c.parts > mostKeptParts {
		c.builds, c.parts = map[recipe]*building{}, 0
	}
	b := &building{done: make(chan struct{})}
	c.builds[place] = b
	c.lock.Unlock()
	defer close(b.done)
	err := t.build()
	if err == nil {
		asBuilt := *t
		b.built = &asBuilt
		c.lock.Lock()
		c.parts += t.bench.Len()
		c.lock.Unlock()
	}
	return err
}

// runner is one of the crew, counted from 0.
func (c *crew) runner(i int) *runner {
	for len(c.runners) <= i {
		r := newRunner(c.env)
		r.crew, r.budget = c, c.budget
		c.runners = append(c.runners, r)
	}
	return c.runners[i]
}

func (c *crew) close() {
	for _, r := range c.runners {
		r.close()
	}
}

// workers is how many trials may run at once.
func workers(e *Env) int {
	switch {
	case e.trial:
		return 1
	case e.Workers > 0:
		return e.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// each calls do for 0 to n-1 on all workers. What do finds out it must put where its number says, so that the order of
// work never shows. If done is not nil it is told of every one, in order, never two at once, and can end the work
// there: those after it are as if they had not been. The error is that of the lowest number; once the context has
// ended it is *engine.Stopped, and those told to done stand. what is what a long wait is called; with "" nobody is told.
func (c *crew) each(what string, n int, do func(r *runner, i int) error, done func(i int) (more bool, err error)) error {
	e := c.env
	errs := make([]error, n)
	var next, last atomic.Int64 // the next to do; none after last need be done
	last.Store(int64(n) - 1)
	lower := func(i int) {
		for old := last.Load(); int64(i) < old && !last.CompareAndSwap(old, int64(i)); old = last.Load() {
		}
	}
	var lock sync.Mutex // of what follows
	ready, told, stopped := make([]bool, n), 0, false
	var result error
	tell := func(i int) { // those that are ready, in order
		lock.Lock()
		defer lock.Unlock()
		ready[i] = true
		for ; told < n && ready[told] && !stopped; told++ {
			more := true
			if result = errs[told]; result == nil && done != nil {
				more, result = done(told)
			}
			if stopped = !more || result != nil; stopped {
				lower(told)
			}
			if what != "" {
				e.progress(what, int64(told)+1, int64(n))
			}
		}
	}
	var g errgroup.Group
	for k := range min(workers(e), n) {
		r := c.runner(k)
		g.Go(func() error {
			for i := next.Add(1) - 1; i <= last.Load() && e.ctx().Err() == nil; i = next.Add(1) - 1 {
				errs[i] = do(r, int(i))
				if e.ctx().Err() != nil && errs[i] != nil {
					errs[i] = &engine.Stopped{Err: e.ctx().Err()}
				}
				if errs[i] != nil {
					lower(int(i))
				}
				tell(int(i))
			}
			return nil
		})
	}
	g.Wait()
	if what != "" {
		e.progress(what, int64(n), int64(n))
	}
	if result == nil && e.ctx().Err() != nil {
		return &engine.Stopped{Err: e.ctx().Err()}
	}
	return result
}
