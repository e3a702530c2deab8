package measure

import (
	"fmt"
	"math/big"

	"pulsewright/builtins/lag"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// loadOf is what a design costs: every number that reads right, sent once to a machine at rest, tick by tick.
func loadOf(l *trial.Bay, all tried, size int) (load lag.Load, right []starlark.Value, err error) {
	for i, s := range all.sent {
		if s.right {
			right = append(right, all.numbers[i])
		}
	}
	each := make([]lag.Load, len(right))
	err = l.Each("weights: numbers", len(right), func(r *trial.Runner, i int) (err error) {
		each[i], err = weigh(l, r, right[i], size)
		return err
	}, nil)
	for _, e := range each {
		load.Sum = load.Sum.Add(e.Sum)
		load.Ticks = append(load.Ticks, e.Ticks...)
	}
	load.N = int64(len(right))
	return load, right, err
}

// weigh sends one number and keeps what each tick counts; of ticks that count alike one.
func weigh(l *trial.Bay, r *trial.Runner, n starlark.Value, size int) (load lag.Load, err error) {
	t, err := l.Pose(r, size)
	if err != nil {
		return load, err
	}
	b := t.Bench
	t.Dirty = true
	b.Record(engine.RecordAll)
	before, ticks := b.Counters(), len(b.TickCosts())
	if err := t.Start(n); err != nil {
		return load, err
	}
	if _, err := t.Rest(); err != nil {
		return load, err
	}
	load.Sum = b.Counters().Sub(before)
	seen := map[engine.Counters]bool{}
	for _, c := range b.TickCosts()[ticks:] {
		if !seen[c.Counters] {
			seen[c.Counters] = true
			load.Ticks = append(load.Ticks, c.Counters)
		}
	}
	return load, nil
}

// lagFigures are what a load weighs.
func lagFigures(w *lag.Weights, load lag.Load, right []starlark.Value) []figure {
	one := func(name string, of func(lag.Load) *big.Rat, how string) figure {
		f := figure{name: name, better: -1, basis: basis{numbers: listed(right)}, how: "no number reads right"}
		if len(right) > 0 {
			f.exact = of(load)
			f.value, f.bare = lag.Number(f.exact), true
			f.how = fmt.Sprintf("what is counted, by the weights given (%v); %s", w, how)
		}
		return f
	}
	return []figure{
		one("lag a transmission", w.Mean, "from rest to rest; the mean of all numbers that read right"),
		one("lag of the worst tick", w.Worst, "the most of any tick of any number that reads right"),
	}
}

// verdict judges the designs by weight, where all were measured alike.
func (cmp *comparison) verdict(w *lag.Weights, loads []lag.Load) {
	if w == nil || len(loads) < 2 {
		return
	}
	for i, head := range cmp.heads {
		if head != "lag a transmission" {
			continue
		}
		if why := cmp.unmarked(i); why != "" {
			cmp.noVerdict = "no verdict by weight: " + why
			return
		}
	}
	for k := range loads {
		loads[k].Name = cmp.names[k]
	}
	cmp.judged = w.Judge(loads)
}
