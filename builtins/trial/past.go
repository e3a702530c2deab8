package trial

import (
	"errors"
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Past is a bench that something has run on, every event of it kept, with its history.
type Past struct {
	*engine.Bench
	Read  []starlark.Value // what a design read after each number that was sent
	Fault string           // what ended the run: it did not come to rest; "" if nothing did
}

// Play calls a function on an empty bench under a setting, and gives the bench that it leaves. The runner is not to be used again.
func (r *Runner) Play(fn starlark.Callable, s Setting) (*Past, error) {
	r.fresh(s.Rules, 0)
	r.Env.Late, r.Env.History = s.Late, true
	r.Env.Bench.KeepHistory(true)
	_, err := r.Call(fn)
	p := &Past{Bench: r.Env.Bench}
	return p, p.ends(r, err)
}

// PlayDesign builds a design on an empty bench, sends the numbers one after the other, each once all is quiet, and reads after each.
// The runner is not to be used again.
func (r *Runner) PlayDesign(d *Design, s Setting, size int, numbers []starlark.Value) (*Past, error) {
	t, err := r.Rigged(d, s, size)
	if err != nil {
		return nil, fmt.Errorf("build: %w", err)
	}
	t.Bench.Record(engine.RecordAll)
	t.Bench.KeepHistory(true)
	p := &Past{Bench: t.Bench}
	r.Begin(0)
	for _, n := range numbers {
		if err := t.Give(n); err != nil {
			return p, p.ends(r, fmt.Errorf("send: %w", err))
		}
		if err := t.Quiet(); err != nil {
			return p, p.ends(r, err)
		}
		got, err := t.Reads()
		if err != nil {
			return p, p.ends(r, fmt.Errorf("read: %w", err))
		}
		p.Read = append(p.Read, got)
	}
	return p, nil
}

// ends takes down what ended a run, if that was something that the bench did; anything else is an error.
func (p *Past) ends(r *Runner, err error) error {
	var failure *builtins.Failure
	if err == nil || r.Env.Stopped() != nil || !isOutcome(err) || errors.As(err, &failure) {
		return err
	}
	p.Fault = say.Clean(builtins.Message(err))
	return nil
}
