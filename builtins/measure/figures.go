package measure

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/lag"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// figure is one figure of a design: what compare sets side by side and a data sheet lists. A figure that could not be measured
// has no value; how then says why.
type figure struct {
	name   string // "recovery"
	unit   string
	value  string   // as shown; "" if there is none
	number int64    // what is compared
	exact  *big.Rat // instead of it, what is no whole number
	bare   bool     // the number is for comparing only, and nothing that could be shown
	better int      // -1: less is better, 1: more is better, 0: not ranked; unranked says why

	unranked string
	how      string // how it was obtained
	basis    basis
	absent   bool   // a design of this kind has no such figure
	told     bool   // the value needs how beside it
	law      string // at which sizes it was found, if it speaks of all sizes
}

// basis is what a figure was measured on. Only figures of one basis can be compared.
type basis struct{ numbers, sizes, slices, from string }

// tried are the numbers of a design, each sent once to a machine at rest.
type tried struct {
	numbers []starlark.Value // in ascending order, where they have one
	sent    []sending
}

// try sends every number of a design once.
func tryCourse(l *trial.Bay, size int) (t tried, err error) {
	numbers, err := l.NumbersOf(l.C.Thread, size)
	if err != nil {
		return t, err
	}
	if t.numbers = distinct(numbers); len(t.numbers) == 0 {
		return t, fmt.Errorf("the design %s names no numbers to send", l.Name)
	}
	t.sent = make([]sending, len(t.numbers))
	err = l.Each("numbers", len(t.numbers), func(r *trial.Runner, i int) (err error) {
		t.sent[i], err = costs(l, r, t.numbers[i], size)
		return err
	}, nil)
	return t, err
}

// figures measures a design: range, least number, delays, recovery, parts, cost, growth. Numbers that read wrong are left
// out of what needs them right.
func figuresOf(l *trial.Bay, all tried, size int) ([]figure, *recovered, error) {
	numbers := all.numbers
	var right []starlark.Value
	var most engine.Counters
	wrong := ""
	for i, s := range all.sent {
		switch {
		case s.right:
			right = append(right, numbers[i])
			most.News, most.Levels = max(most.News, s.spent.News), max(most.Levels, s.spent.Levels)
		case wrong == "":
			wrong = fmt.Sprintf("; the first of the others is %s: %s", builtins.Show(numbers[i]), s.trouble)
		}
	}
	fs := []figure{{name: "range", value: fmt.Sprintf("%d of %d", len(right), len(numbers)), number: int64(len(right)), better: 1, basis: basis{numbers: listed(numbers)},
		how: fmt.Sprintf("numbers that read right of those the design is for, %s; each sent once to a machine at rest%s", listed(numbers), wrong)}}
	fs[0].told = len(right) < len(numbers)
	machine, err := madeOf(l, size)
	if err != nil {
		return nil, nil, err
	}
	if len(right) == 0 {
		const why = "no number reads right"
		for _, name := range []string{"smallest number", "delay of the rise", "delay of the fall", "time to a right reading", "recovery", "news", "level changes"} {
			fs = append(fs, figure{name: name, unit: unitOf(name), how: why})
		}
		return append(fs, machine...), nil, nil
	}
	fast, r, err := speedOf(l, right, size)
	if err != nil {
		return nil, nil, err
	}
	smallest, err := smallest(l, right, size)
	if err != nil {
		return nil, nil, err
	}
	fs = append(append(append(fs, smallest...), fast...), machine...)
	of := basis{numbers: listed(right)}
	fs = append(fs,
		figure{name: "news", value: fmt.Sprint(most.News), number: most.News, better: -1, basis: of, how: "deliveries to parts that hear, in one transmission from rest to rest; the most of all numbers that read right"},
		figure{name: "level changes", value: fmt.Sprint(most.Levels), number: most.Levels, better: -1, basis: of, how: "changes of the level of a conductor in one transmission from rest to rest; the most of all numbers that read right"})
	growing, err := growing(l, right[0])
	return append(fs, growing...), r, err
}

func unitOf(name string) string {
	if name == "recovery" {
		return "ticks"
	}
	return ""
}

// distinct leaves every number once; in ascending order, where they have one.
func distinct(vs []starlark.Value) []starlark.Value {
	vs = slices.Clone(vs)
	slices.SortStableFunc(vs, builtins.CompareValues)
	return slices.CompactFunc(vs, func(a, b starlark.Value) bool {
		same, err := starlark.Equal(a, b)
		return err == nil && same
	})
}

// listed writes numbers shortly and completely: "2 to 9, 12"; what is none is written out.
func listed(vs []starlark.Value) string {
	var whole []int64
	var rest []string
	for _, v := range vs {
		if n, ok := v.(starlark.Int); ok {
			if x, fits := n.Int64(); fits {
				whole = append(whole, x)
				continue
			}
		}
		rest = append(rest, builtins.Show(v))
	}
	if len(whole) > 0 {
		slices.Sort(whole)
		rest = append([]string{say.Ranges(whole)}, rest...)
	}
	return strings.Join(rest, ", ")
}

// sending is what one number does on a machine at rest.
type sending struct {
	right    bool   // it was read
	trouble  string // not right: what is read instead, or what went wrong
	restless bool   // it does not come to rest
	spent    engine.Counters
}

// costs sends one number to a machine at rest: does it read right, and what was spent?
func costs(l *trial.Bay, r *trial.Runner, n starlark.Value, size int) (s sending, err error) {
	t, err := l.Pose(r, size)
	if err != nil {
		return s, err
	}
	before := t.Bench.Counters()
	if err := t.Start(n); err != nil {
		s.trouble = "it cannot be sent: " + say.Clean(builtins.Message(err))
		return s, t.Env.Stopped()
	}
	if _, err := t.Rest(); err != nil {
		s.restless, s.trouble = true, "it does not come to rest: "+say.Clean(builtins.Message(err))
		return s, t.Env.Stopped()
	}
	s.spent = t.Bench.Counters().Sub(before)
	s.trouble, s.right, err = heard(t, n)
	return s, err
}

// heard reads the machine as says does. If it does not say n, trouble tells what it says instead, or that it cannot be read.
func heard(t *trial.Rigged, n starlark.Value) (trouble string, ok bool, err error) {
	v, err := t.Reads()
	if stopped := t.Env.Stopped(); stopped != nil {
		return "", false, stopped
	}
	if err != nil {
		return "it cannot be read: " + say.Clean(builtins.Message(err)), false, nil
	}
	if same, err := starlark.Equal(v, n); err == nil && same {
		return "", true, nil
	}
	return "it reads " + builtins.Show(v), false, nil
}

// mostBelow is how many numbers below those of a design are tried for the smallest.
const mostBelow = 1000

// smallest is the least number from 0 on that reads right.
func smallest(l *trial.Bay, right []starlark.Value, size int) ([]figure, error) {
	n, ok := right[0].(starlark.Int)
	least, fits := n.Int64()
	if !ok || !fits || least < 0 {
		return nil, nil
	}
	f := figure{name: "smallest number", better: -1, basis: basis{numbers: "from 0 on"}}
	if least > mostBelow {
		f.how = fmt.Sprintf("the numbers below %d are more than the %d that are tried", least, mostBelow)
		return []figure{f}, nil
	}
	says := make([]sending, least)
	err := l.Each("numbers below", len(says), func(r *trial.Runner, i int) (err error) {
		says[i], err = costs(l, r, starlark.MakeInt(i), size)
		return err
	}, nil)
	if err != nil {
		return nil, err
	}
	low := least
	var between []starlark.Value // wrong, though a smaller one reads right
	for i := range says {
		switch {
		case low < least && !says[i].right:
			between = append(between, starlark.MakeInt(i))
		case low == least && says[i].right:
			low = int64(i)
		}
	}
	f.value, f.number = fmt.Sprint(low), low
	f.how = fmt.Sprintf("all numbers from 0 to %d were sent: it is the first that reads right", least)
	if len(between) > 0 {
		f.value, f.bare, f.better, f.told = fmt.Sprintf("%d, with gaps", low), true, 0, true
		f.unranked = "with gaps it is no smallest number"
		f.how += "; above it these do not: " + listed(between)
	}
	return []figure{f}, nil
}

// speed is how fast a design is and how soon it is ready again.
func speedOf(l *trial.Bay, right []starlark.Value, size int) ([]figure, *recovered, error) {
	of := basis{numbers: listed(right)}
	fs, err := latenciesOf(l, right, size, of)
	if err != nil {
		return nil, nil, err
	}
	rec := figure{name: "recovery", unit: "ticks", better: -1, basis: of}
	r, err := recoveryOf(l.Of(l.Design), right, size)
	if stopped := l.C.Env.Stopped(); stopped != nil {
		return nil, nil, stopped
	}
	if err != nil {
		why := say.Clean(builtins.Message(err))
		rec.how = why
		return append(fs, figure{name: "time to a right reading", how: why}, rec), nil, nil
	}
	reading, err := readingOf(l, r.timed(), size, of)
	if err != nil {
		return nil, nil, err
	}
	rec.how = anyOrder(right) + ", at every gap from rest down to the first at which one is not answered"
	switch rec.value, rec.number = fmt.Sprint(r.ticks), r.ticks; {
	case r.ticks == 0:
		rec.value, rec.number, rec.bare, rec.told = "none", math.MaxInt64, true, true
		rec.how += "; no gap is long enough"
	case !r.told():
		rec.value, rec.number = "", 0
		rec.how = "every second number is read as it would be had it not been sent"
	}
	return append(fs, reading, rec), r, nil
}

// made counts the machine.
func madeOf(l *trial.Bay, size int) ([]figure, error) {
	t, err := l.Pose(l.One(), size)
	if err != nil {
		return nil, err
	}
	k := lag.CostOf(t.Bench)
	var of basis
	if !l.Sized && l.Slice != nil {
		of.slices = runLong(l)
	}
	x, y, z := k.Size()
	volume := int64(x) * int64(y) * int64(z)
	fs := []figure{
		{name: "parts", value: fmt.Sprint(k.Parts), number: int64(k.Parts), better: -1, basis: of, how: "counted on the bench"},
		{name: "volume", unit: "cells", value: fmt.Sprintf("%d x %d x %d = %d", x, y, z, volume), number: volume, better: -1, basis: of, how: "the box around all parts that have a cell"},
	}
	if !k.Boxed {
		fs[1].value, fs[1].how = "", "no part has a cell"
	}
	return fs, nil
}

// long says how long a slice is: what slices of unlike lengths are made of cannot be compared.
func runLong(l *trial.Bay) string {
	abs := func(n int32) int32 { return max(n, -n) }
	n := abs(l.Pitch.X) + abs(l.Pitch.Y) + abs(l.Pitch.Z)
	if n == 0 {
		return "of unknown length"
	}
	return say.Count(int(n), "cell") + " long"
}

// growing are the figures of one slice, and how all grow with their number.
func growing(l *trial.Bay, n starlark.Value) ([]figure, error) {
	if !l.Sized && l.Slice == nil {
		var fs []figure
		for _, name := range []string{"parts a slice", "conductors a slice", "growth of parts", "growth of news", "growth of level changes"} {
			fs = append(fs, figure{name: name, absent: true, how: "its build takes no size, and it names no slice"})
		}
		return fs, nil
	}
	s, err := growOf(l, n)
	if err != nil {
		return nil, err
	}
	var alone *lag.Cost
	if l.Slice != nil {
		t, err := sliceAlone(l)
		if err != nil {
			return nil, err
		}
		alone = lag.CostOf(t.Bench)
	}
	fs := append(s.slices(alone), s.figures()...)
	for i := range fs {
		fs[i].basis.slices = runLong(l)
	}
	return fs, nil
}

// sliceAlone poses one slice.
func sliceAlone(l *trial.Bay) (*trial.Rigged, error) {
	one := l.Of(&trial.Design{Slice: l.Slice, Pitch: l.Pitch, Chained: true})
	return one.Pose(l.One(), 1)
}

// sizeFigure is the size at which figures were taken.
func sizeFigure(d *trial.Design, size int) figure {
	f := figure{name: "size", value: "as built", how: "its build takes no size"}
	if d.Sized {
		f.value, f.number, f.how = fmt.Sprint(size), int64(size), "what build was given"
	}
	return f
}
