package expand

import (
	"fmt"

	"pulsewright/builtins/observe"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// size runs every number at one size that is not shown yet, and reports whether these are all, and whether all were read right.
func (x *expansion) size(size int, record bool) (whole, ok bool, err error) {
	numbers, err := x.numbersOf(size)
	if err != nil {
		return false, false, err
	}
	if len(numbers) == 0 {
		return false, false, fmt.Errorf("the design %s names no numbers to send at size %d; give some with over=", x.Name, size)
	}
	nth := x.open(len(numbers))
	open := make([]starlark.Value, len(nth))
	for i, k := range nth {
		open[i] = numbers[k]
	}
	if !record {
		nth = nil
	}
	ok, err = x.sends(size, open, nth)
	return len(open) == len(numbers), ok, err
}

// sends runs some numbers at one size. What happens is written down if nth says which these are of all.
func (x *expansion) sends(size int, numbers []starlark.Value, nth []int) (bool, error) {
	ran := make([]oneRun, len(numbers))
	var bad *oneRun
	delete(x.runs, size)
	record := nth != nil
	if record {
		if _, err := x.plan(size); err != nil {
			return false, err
		}
	}
	err := x.Each("", len(numbers), func(r *trial.Runner, i int) (err error) {
		if ran[i], err = x.run(r, size, numbers[i], record); record {
			ran[i].nth = nth[i]
		}
		return err
	}, func(i int) (bool, error) {
		x.Trials++
		if ran[i].got != "" {
			bad = &ran[i]
		}
		return bad == nil, nil
	})
	if err == nil && record {
		x.runs[size] = ran
	}
	if err != nil || bad == nil {
		return err == nil, err
	}
	x.number, x.got = bad.n, bad.got
	return false, nil
}

// run sends one number at one size, and writes down what happens if it is told to.
func (x *expansion) run(r *trial.Runner, size int, n starlark.Value, record bool) (run oneRun, err error) {
	run.n = n
	t, err := x.Pose(r, size)
	if err != nil {
		return run, err
	}
	t.Dirty = true
	b := t.Bench
	b.Record(engine.RecordAll)
	b.ForgetEvents()
	var levels []reached
	if record {
		b.OnLevel(func(id engine.ID, level int, cause engine.EventID) {
			levels = append(levels, reached{b.EventCount(), id, cause, level})
		})
		defer b.OnLevel(nil)
	}
	stop := asksOf(r, sizelessSend, &run.asks)
	err = t.Start(n)
	if stop(); err != nil {
		return run, err
	}
	if err := t.Quiet(); err != nil {
		if stopped := t.Env.Stopped(); stopped != nil {
			return run, stopped
		}
		run.got, run.bad = nothingIs+err.Error(), err.Error()
	}
	if plan := x.plans[size]; record && run.bad == "" {
		if run.bad = plan.amiss; run.bad == "" {
			run.ledger = x.ledger(size, plan, b, levels)
		}
	}
	if run.got == "" {
		probes := make([]*observe.Probe, len(t.Probes))
		for i, s := range t.Probes {
			s.Probe.ForgetLooks()
			probes[i] = s.Probe
		}
		observe.ReadAll(b, probes)
		stop = asksOf(r, sizelessRead, &run.asks)
		var ok bool
		if run.got, ok, err = t.Says(n); ok {
			run.got = ""
		}
		stop()
		run.ports = x.ports(t)
	}
	return run, err
}
