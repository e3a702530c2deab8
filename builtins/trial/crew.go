package trial

import (
	"errors"
	"sync"
	"sync/atomic"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"golang.org/x/sync/errgroup"
)

// Crew is the runners of one experiment: what one has built stays with it from one job to the next.
type Crew struct {
	Env     *builtins.Env
	runners []*Runner
	budget  engine.Budget // of every trial

	lock   sync.Mutex
	builds map[Recipe]*building // what anyone has begun to build, by place
	parts  int                  // of all that
}

// mostKeptParts is how many parts the rigs may have that are kept for others to copy.
const mostKeptParts = 500_000

// building is a rig that one of the crew builds and the others may copy, once done is closed.
type building struct {
	done  chan struct{}
	built *Rigged // as it was then; nil if it could not be built
}

func NewCrew(e *builtins.Env) *Crew { return &Crew{Env: e} }

// build builds a rig, unless one of the crew has built it, if under other rules, and it can be copied.
func (c *Crew) build(t *Rigged) error {
	place := t.Recipe.place()
	c.lock.Lock()
	if b := c.builds[place]; b != nil {
		c.lock.Unlock()
		if <-b.done; b.built != nil && t.Copy(b.built) {
			return nil
		}
		return t.build()
	}
	if c.builds == nil || c.parts > mostKeptParts {
		c.builds, c.parts = map[Recipe]*building{}, 0
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
		c.parts += t.Bench.Len()
		c.lock.Unlock()
	}
	return err
}

// Runner is one of the crew, counted from 0.
func (c *Crew) Runner(i int) *Runner {
	for len(c.runners) <= i {
		r := NewRunner(c.Env)
		r.Crew, r.Budget = c, c.budget
		c.runners = append(c.runners, r)
	}
	return c.runners[i]
}

func (c *Crew) Close() {
	for _, r := range c.runners {
		r.close()
	}
}

// caught does i. A panic ends this one, not the process.
func caught(do func(r *Runner, i int) error, r *Runner, i int) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = errors.New(say.Crash(p))
		}
	}()
	return do(r, i)
}

// Each calls do for 0 to n-1 on all workers. What do finds out it must put where its number says, so that the order of
// work never shows. If done is not nil it is told of every one, in order, never two at once, and can end the work
// there: those after it are as if they had not been. The error is that of the lowest number; once the context has
// ended it is *engine.Stopped, and those told to done stand. what is what a long wait is called; with "" nobody is told.
func (c *Crew) Each(what string, n int, do func(r *Runner, i int) error, done func(i int) (more bool, err error)) error {
	e := c.Env
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
				e.Tell(what, int64(told)+1, int64(n))
			}
		}
	}
	var g errgroup.Group
	for k := range min(e.AtOnce(), n) {
		r := c.Runner(k)
		g.Go(func() error {
			for i := next.Add(1) - 1; i <= last.Load() && e.Context().Err() == nil; i = next.Add(1) - 1 {
				errs[i] = caught(do, r, int(i))
				if e.Context().Err() != nil && errs[i] != nil {
					errs[i] = &engine.Stopped{Err: e.Context().Err()}
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
		e.Tell(what, int64(n), int64(n))
	}
	if result == nil && e.Context().Err() != nil {
		return &engine.Stopped{Err: e.Context().Err()}
	}
	return result
}
