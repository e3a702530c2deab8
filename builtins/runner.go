package builtins

import (
	"bytes"
	"context"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// runner makes trials one after the other, in a world of its own. Many work at once.
type runner struct {
	env    *Env
	crew   *crew
	thread *starlark.Thread
	out    bytes.Buffer // what the trial prints
	budget engine.Budget
	built  *rigged // the last one, to be used again
	number int     // of the trial
	trials int64   // posed so far
	stop   func() bool
}

// newRunner gives the world of a trial: nothing of the session but its seed. close it in the end.
func newRunner(e *Env) *runner {
	r := &runner{env: &Env{Ctx: e.Ctx, Seed: e.Seed, Width: e.Width, ASCII: e.ASCII, Workers: 1, Source: e.Source, Library: e.Library, Try: e.Try, trial: true}, thread: &starlark.Thread{Name: "trial"}}
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
	r.number = i
	r.env.Random = NewRandom(r.env.Seed, uint64(i)+1)
	r.env.Log, r.env.watch = nil, nil
	r.out.Reset()
}
