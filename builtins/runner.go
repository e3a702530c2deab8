package builtins

import (
	"bytes"
	"context"
	"errors"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
	"golang.org/x/sync/errgroup"
)

// runner makes trials one after the other, in a world of its own. Many work at once.
type runner struct {
	env    *Env
	thread *starlark.Thread
	out    bytes.Buffer // what the trial prints
	budget engine.Budget
	built  *rigged // the last one, to be used again
	stop   func() bool
}

// newRunner gives the world of a trial: nothing of the session but its seed. close it in the end.
func (e *Env) newRunner() *runner {
	r := &runner{env: &Env{Ctx: e.Ctx, Seed: e.Seed, Width: e.Width, ASCII: e.ASCII, Workers: 1, trial: true}, thread: &starlark.Thread{Name: "trial"}}
	r.env.Out = &r.out
	r.thread.Print = func(_ *starlark.Thread, msg string) { r.out.WriteString(oneLine(msg) + "\n") }
	r.env.Attach(r.thread)
	r.stop = context.AfterFunc(e.ctx(), func() { r.thread.Cancel("stopped") })
	return r
}

func (r *runner) close() { r.stop() }

// call calls a function of a trial.
func (r *runner) call(fn starlark.Callable, args ...starlark.Value) (starlark.Value, error) {
	return starlark.Call(r.thread, fn, args, nil)
}

// fresh gives the runner an empty bench, and the random numbers of trial i.
func (r *runner) fresh(rules engine.Rules, i int) {
	r.env.Bench = engine.New(rules)
	r.begin(i)
}

func (r *runner) begin(i int) {
	r.env.Random = NewRandom(r.env.Seed, uint64(i)+1)
	r.env.Log, r.env.watch = nil, nil
	r.out.Reset()
}

// workers is how many trials may run at once.
func (e *Env) workers() int {
	switch {
	case e.trial:
		return 1
	case e.Workers > 0:
		return e.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// parallel calls do for 0 to n-1 on all workers. What do finds out it must put where its number says, so that the order of
// work never shows. If done is not nil it is told of every one, in order, never two at once, and can end the work
// there: those after it are as if they had not been. The error is that of the lowest number; once the context has
// ended it is *engine.Stopped, and those told to done stand.
func (e *Env) parallel(what string, n int, do func(r *runner, i int) error, done func(i int) (more bool, err error)) error {
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
			if e.Progress != nil {
				e.Progress(what, int64(told)+1, int64(n))
			}
		}
	}
	var g errgroup.Group
	for range min(e.workers(), n) {
		g.Go(func() error {
			r := e.newRunner()
			defer r.close()
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
	if e.Progress != nil {
		e.Progress(what, int64(n), int64(n))
	}
	if result == nil && e.ctx().Err() != nil {
		return &engine.Stopped{Err: e.ctx().Err()}
	}
	return result
}

// rigged is a design built on a bench of its own under a setting, ready to be tried again and again.
type rigged struct {
	*runner
	m       *machine
	setting Setting
	size    int
	bench   *engine.Bench
	rig     starlark.Value
	posed   *engine.Snapshot
	probes  []*Probe // of the rig
	anew    bool     // the rig keeps values that change: only building it again brings it back
	dirty   bool
}

// rigged builds a design, or brings the last one back if it is the same.
func (r *runner) rigged(m *machine, s Setting, size int) (*rigged, error) {
	if t := r.built; t != nil && t.m == m && t.setting == s && t.size == size {
		return t, t.reset()
	}
	t := &rigged{runner: r, m: m, setting: s, size: size}
	r.built = nil
	if err := t.build(); err != nil {
		return nil, err
	}
	r.built = t
	return t, nil
}

func (t *rigged) build() error {
	e := t.env
	e.Bench, e.Late = engine.New(t.setting.Rules), t.setting.Late
	e.Random = NewRandom(e.Seed, 0)
	t.bench = e.Bench
	args := []starlark.Value{t.setting.frame()}
	if t.m.sized {
		args = append(args, starlark.MakeInt(t.size))
	}
	rig, err := t.call(t.m.build, args...)
	if err != nil {
		return err
	}
	if e.Bench != t.bench {
		return errors.New("build takes a fresh bench; it must place its parts on the one it finds")
	}
	t.rig, t.probes, t.anew, t.dirty = rig, nil, false, false
	t.walk(rig, 0)
	if !t.anew {
		rig.Freeze()
		for _, p := range t.probes {
			p.frozen = false // reset puts probes back, too
		}
		t.posed = t.bench.Snapshot()
	}
	return nil
}

// walk finds what of a rig changes with time: probes, which reset knows, and others, for which the rig is built anew.
func (t *rigged) walk(v starlark.Value, depth int) {
	if depth > 20 {
		t.anew = true
		return
	}
	switch v := v.(type) {
	case *Probe:
		if v.bench == t.bench && v.edges == nil {
			t.probes = append(t.probes, v)
		} else {
			t.anew = true
		}
	case *starlarkstruct.Struct:
		for _, a := range v.AttrNames() {
			if x, err := v.Attr(a); err == nil {
				t.walk(x, depth+1)
			}
		}
	case *starlark.Dict:
		for k, x := range v.Entries() {
			t.walk(k, depth+1)
			t.walk(x, depth+1)
		}
	case starlark.Iterable:
		if _, ok := v.(*Row); ok {
			return
		}
		for x := range starlark.Elements(v) {
			t.walk(x, depth+1)
		}
	case *starlark.Function:
		for i := range v.NumFreeVars() {
			switch _, x := v.FreeVar(i); x := x.(type) {
			case *starlark.List, *starlark.Dict, *starlark.Set:
				t.anew = true
			case nil:
			default:
				t.walk(x, depth+1)
			}
		}
	case *starlark.Builtin:
		switch v.Receiver().(type) {
		case nil, *Frame:
		default:
			t.anew = true
		}
	}
}

// reset brings bench and rig back to what they were when built.
func (t *rigged) reset() error {
	e := t.env
	e.Bench, e.Late = t.bench, t.setting.Late
	switch {
	case !t.dirty:
	case t.anew:
		return t.build()
	default:
		t.bench.Restore(t.posed)
		for _, p := range t.probes {
			p.from, p.next, p.edges, p.last, p.live, p.forced = 1, 0, nil, engine.Event{}, false, false
		}
		t.dirty = false
	}
	return nil
}

// give sends n; time may pass meanwhile.
func (t *rigged) give(n starlark.Value) error {
	t.dirty = true
	_, err := t.call(t.m.send, t.rig, n)
	if err == nil && t.env.Bench != t.bench {
		err = errors.New("send takes a fresh bench")
	}
	return err
}

// quiet lets time pass until nothing is left to do.
func (t *rigged) quiet() error { return t.bench.Run(t.env.ctx(), t.budget) }

// once is one trial: as built, n sent, all quiet, read. What went wrong in running or reading is a result, told in
// words as fault; err means that the design's functions cannot be used.
func (t *rigged) once(i int, n starlark.Value) (got starlark.Value, fault string, err error) {
	if err := t.reset(); err != nil {
		return nil, "", err
	}
	t.begin(i)
	if err = t.give(n); err == nil {
		if err = t.quiet(); err != nil && t.env.stopped() == nil {
			return starlark.None, clean(message(err)), nil
		}
	}
	if err == nil {
		if got, err = t.call(t.m.read, t.rig); err == nil {
			return got, "", nil
		}
		if t.env.stopped() == nil && !strings.Contains(message(err), "frozen") && !strings.Contains(message(err), "cannot be used in a trial") {
			return starlark.None, "read: " + clean(message(err)), nil
		}
	}
	if isOutcome(err) {
		return starlark.None, clean(message(err)), nil
	}
	return nil, "", err
}

// isOutcome reports whether an error is something that the bench did, rather than a mistake of the script.
func isOutcome(err error) bool {
	var away *engine.Runaway
	var restless *engine.Restless
	var failure *Failure
	return errors.As(err, &away) || errors.As(err, &restless) || errors.As(err, &failure)
}
