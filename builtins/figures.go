package builtins

import (
	"fmt"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// figure is one figure of a design: what compare sets side by side and a data sheet lists. A figure that was not computed
// has no value; how then says why.
type figure struct {
	name   string // "recovery"
	unit   string
	value  string // as shown; "" if there is none
	number int64  // what is compared
	better int    // -1: less is better, 1: more is better, 0: not ranked
	how    string // how it was obtained
}

// growthSizes are the sizes from which laws of growth are found: two more than a quadratic needs.
var growthSizes = []int64{2, 4, 6, 8, 10}

// figures measures a design: range, least number, latency, recovery, parts, cost, growth, where it holds. Numbers that read
// wrong are left out of what needs them right.
func (l *bay) figures(size int) ([]figure, *recovered, error) {
	numbers, err := l.numbers(size)
	if err != nil {
		return nil, nil, err
	}
	if len(numbers) == 0 {
		return nil, nil, fmt.Errorf("the design %s names no numbers to send", l.name)
	}
	var fs []figure
	add := func(f figure) { fs = append(fs, f) }

	// Range and cost.
	var right []starlark.Value
	var most engine.Counters
	sent := make([]sending, len(numbers))
	err = l.each("numbers", len(numbers), func(r *runner, i int) (err error) {
		sent[i], err = l.costs(r, numbers[i], size)
		return err
	}, nil)
	if err != nil {
		return nil, nil, err
	}
	for i, s := range sent {
		if s.right {
			right = append(right, numbers[i])
			most.News, most.Levels = max(most.News, s.spent.News), max(most.Levels, s.spent.Levels)
		}
	}
	add(figure{name: "range", value: fmt.Sprintf("%d of %d", len(right), len(numbers)), number: int64(len(right)), better: 1,
		how: fmt.Sprintf("numbers that read right of those the design is for, %s to %s; each sent once to a machine at rest", show(numbers[0]), show(numbers[len(numbers)-1]))})
	if len(right) == 0 {
		return fs, nil, nil
	}
	if least, ok := right[0].(starlark.Int); ok {
		low, _ := least.Int64()
		for low > 0 {
			s, err := l.costs(l.one(), starlark.MakeInt64(low-1), size)
			if err != nil {
				return nil, nil, err
			}
			if !s.right {
				break
			}
			low--
		}
		add(figure{name: "smallest number", value: fmt.Sprint(low), number: low, better: -1,
			how: "from the first number of the range down to 0, the last that reads right"})
	}
	r, err := l.of(l.machine).recovery(right, size)
	if err != nil {
		return nil, nil, err
	}
	var latency int64
	for _, a := range r.alone {
		latency = max(latency, a.latency-1)
	}
	add(figure{name: "latency", unit: "ticks", value: fmt.Sprint(latency), number: latency, better: -1,
		how: "from the tick in which it is sent to the tick from which on it reads right, alone; the most of all numbers"})
	steps, err := l.step(r.alone[0], size)
	if err != nil {
		return nil, nil, err
	}
	if steps >= 0 {
		add(figure{name: "latency", unit: "steps", value: fmt.Sprint(steps), number: steps, better: -1,
			how: fmt.Sprintf("the step of that tick from which on number %s reads right, looked at after every step", show(right[0]))})
	}
	rec := figure{name: "recovery", unit: "ticks", number: r.ticks, better: -1, how: fmt.Sprintf("every pair of %s, at every gap from rest down to the first that fails", count(len(right), "number"))}
	if r.ticks > 0 {
		rec.value = fmt.Sprint(r.ticks)
	}
	add(rec)

	// What it is made of.
	whole, slice, what, err := l.made(size)
	if err != nil {
		return nil, nil, err
	}
	if slice != nil {
		add(figure{name: "parts a slice", value: fmt.Sprint(slice.Parts), number: int64(slice.Parts), better: -1, how: what})
		add(figure{name: "conductors a slice", value: fmt.Sprint(slice.Conductors), number: int64(slice.Conductors), better: -1, how: what + "; wires and jacks"})
	}
	add(figure{name: "parts", value: fmt.Sprint(whole.Parts), number: int64(whole.Parts), better: -1, how: "counted on the bench"})
	x, y, z := whole.Size()
	volume := int64(x) * int64(y) * int64(z)
	add(figure{name: "volume", unit: "cells", value: fmt.Sprintf("%d x %d x %d = %d", x, y, z, volume), number: volume, better: -1, how: "the box around all parts"})
	add(figure{name: "news", value: fmt.Sprint(most.News), number: most.News, better: -1, how: "deliveries a transmission, from rest to rest; the most of all numbers"})
	add(figure{name: "level changes", value: fmt.Sprint(most.Levels), number: most.Levels, better: -1, how: "conductors whose level changes in a transmission; the most of all numbers"})

	// Growth.
	if l.sized || l.slice != nil {
		gs, err := l.growth(right[0])
		if err != nil {
			return nil, nil, err
		}
		fs = append(fs, gs...)
	}
	return fs, r, nil
}

// sending is what one number does on a machine at rest.
type sending struct {
	right bool // it was read
	spent engine.Counters
}

// costs sends one number to a machine at rest: does it read right, and what was spent?
func (l *bay) costs(r *runner, n starlark.Value, size int) (s sending, err error) {
	t, err := l.pose(r, size)
	if err != nil {
		return s, err
	}
	before := t.bench.Counters()
	if err := t.start(n); err != nil {
		return s, t.env.stopped() // a number that cannot be sent
	}
	if _, err := t.rest(); err != nil {
		return s, t.env.stopped()
	}
	s.spent = t.bench.Counters().Sub(before)
	_, s.right, err = t.says(n)
	return s, err
}

// step is the step of the tick of its latency from which on a number reads right; -1 if that cannot be told.
func (l *bay) step(a alone, size int) (int64, error) {
	t, err := l.pose(l.one(), size)
	if err != nil {
		return -1, err
	}
	if err := t.start(a.n); err != nil {
		return -1, err
	}
	b := t.bench
	tick := b.Now().Tick + a.latency
	if err := t.ticks(a.latency - 1); err != nil {
		return -1, err
	}
	from := int64(-1)
	for {
		ok, err := b.Step(t.env.ctx(), t.budget)
		if err != nil {
			return -1, t.env.stopped()
		}
		if !ok || b.Now().Tick != tick {
			return from, nil
		}
		if _, ok, err = t.says(a.n); err != nil {
			return -1, err
		}
		if !ok {
			from = -1
		} else if from < 0 {
			from = int64(b.Now().Step)
		}
	}
}

// made counts the machine, and a slice of it if it is known what that is.
func (l *bay) made(size int) (whole, slice *Cost, what string, err error) {
	t, err := l.pose(l.one(), size)
	if err != nil {
		return nil, nil, "", err
	}
	whole = CostOf(t.bench)
	switch {
	case l.slice != nil:
		t, err := l.sliceAlone()
		if err != nil {
			return nil, nil, "", err
		}
		return whole, CostOf(t.bench), "a slice placed alone", nil
	case l.sized:
		t, err := l.pose(l.one(), size+1)
		if err != nil {
			return nil, nil, "", err
		}
		more := CostOf(t.bench)
		return whole, &Cost{Parts: more.Parts - whole.Parts, Conductors: more.Conductors - whole.Conductors}, fmt.Sprintf("what size %d has more than size %d", size+1, size), nil
	}
	return whole, nil, "", nil
}

// sliceAlone poses one slice.
func (l *bay) sliceAlone() (*rigged, error) {
	one := l.of(&machine{slice: l.slice, pitch: l.pitch, chained: true})
	return one.pose(l.one(), 1)
}

// growth runs one number at growing sizes and finds the laws.
func (l *bay) growth(n starlark.Value) ([]figure, error) {
	m := *l.machine
	m.chained = !m.sized
	g := l.of(&m)
	var xs, parts, news, levels []int64
	for _, size := range growthSizes {
		t, err := g.pose(l.one(), int(size))
		if err != nil {
			return nil, err
		}
		made := int64(t.bench.Len())
		s, err := g.costs(l.one(), n, int(size))
		if err != nil {
			return nil, err
		}
		if !s.right {
			continue
		}
		xs, parts, news, levels = append(xs, size), append(parts, made), append(news, s.spent.News), append(levels, s.spent.Levels)
	}
	how := fmt.Sprintf("number %s at sizes N = %s, those of %s that read right; the law of least degree through all of them", show(n), commas(xs), commas(growthSizes))
	var fs []figure
	for _, f := range []struct {
		name string
		ys   []int64
	}{{"growth of parts", parts}, {"growth of news", news}, {"growth of level changes", levels}} {
		law := fit(xs, f.ys)
		rank := map[string]int64{"constant": 1, "linear": 2, "quadratic": 3, "other": 4, "": 5}[law.law]
		fs = append(fs, figure{name: f.name, value: law.String(), number: rank, better: -1, how: how})
	}
	return fs, nil
}

// commas lists numbers: "2, 4, 6".
func commas(xs []int64) string {
	return strings.ReplaceAll(strings.Trim(fmt.Sprint(xs), "[]"), " ", ", ")
}
