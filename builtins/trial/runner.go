package trial

import (
	"bytes"
	"cmp"
	"context"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Runner makes trials one after the other, in a world of its own. Many work at once.
type Runner struct {
	Env     *builtins.Env
	Crew    *Crew
	thread  *starlark.Thread
	out     bytes.Buffer // what the trial prints
	Budget  engine.Budget
	built   *Rigged // the last one, to be used again
	doubted *Design // the last of which answers could not be told at a glance
	number  int     // of the trial
	Trials  int64   // posed so far
	deep    error   // it lies in too many others
	stop    func() bool
}

// NewRunner gives the world of a trial: nothing of the session but its seed. close it in the end.
func NewRunner(e *builtins.Env) *Runner {
	r := &Runner{Env: &builtins.Env{Ctx: e.Inside(), Seed: e.Seed, Width: e.Width, ASCII: e.ASCII, Workers: 1, Source: e.Source, Library: e.Library, Try: e.Try, Limit: e.Limit, Trial: true}}
	r.Env.Out = &r.out
	r.deep = r.Env.TooDeep()
	r.begin()
	return r
}

// begin gives the runner a thread.
func (r *Runner) begin() {
	r.thread = &starlark.Thread{Name: "trial", Print: func(_ *starlark.Thread, msg string) { r.out.WriteString(say.OneLine(msg) + "\n") }}
	r.stop = Bound(r.thread, r.Env)
}

// Bound has a thread of its own act on a world, under the session's limits and until its context ends; stop that in the end.
func Bound(t *starlark.Thread, e *builtins.Env) (stop func() bool) {
	e.Attach(t)
	if e.Limit != nil {
		e.Limit(t)
	}
	return context.AfterFunc(e.Context(), func() { t.Cancel("stopped") })
}

func (r *Runner) close() { r.stop() }

// Call calls a function of a trial, unless all was stopped, or the trial lies in too many others. A panic there becomes an error that knows its
// place; the thread it left is given up.
func (r *Runner) Call(fn starlark.Callable, args ...starlark.Value) (v starlark.Value, err error) {
	return r.call(fn, args, nil)
}

func (r *Runner) call(fn starlark.Callable, args starlark.Tuple, kwargs []starlark.Tuple) (v starlark.Value, err error) {
	if err := cmp.Or(r.deep, r.Env.Stopped()); err != nil {
		return nil, err
	}
	defer func() {
		if p := recover(); p != nil {
			v, err = nil, &starlark.EvalError{Msg: say.Crash(p), CallStack: r.thread.CallStack()}
			r.close()
			r.begin()
		}
	}()
	v, err = starlark.Call(r.thread, fn, args, kwargs)
	if err == nil {
		err = hold.Until(r.Env.Stopped).CheckDepth(v)
	}
	return v, err
}

// fresh gives the runner an empty bench, and the random numbers of trial i.
func (r *Runner) fresh(rules engine.Rules, i int) {
	r.Env.Bench = engine.New(rules)
	r.Begin(i)
}

func (r *Runner) Begin(i int) {
	r.number = i
	r.Env.Random = builtins.NewRandom(r.Env.Seed, uint64(i)+1)
	r.Env.Log, r.Env.Watch = nil, nil
	r.out.Reset()
}
