package invent

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pulsewright/builtins"
	"pulsewright/builtins/measure"
	"pulsewright/builtins/say"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// The measures by which a machine can be made less.
const (
	parts = iota
	volume
	conductors
	news
	latency
	recovery
	pitch
	measureCount
	spread = measureCount // how far its parts lie from one another: only to tell two machines apart that are alike in all else
)

var measureNames = []string{"parts", "volume", "conductors", "news", "latency", "recovery", "pitch"}

// measures are those of one machine.
type measures [measureCount + 1]int64

// unmeasured is the value of what cannot be measured: more than anything.
const unmeasured = math.MaxInt64

// order is by what machines are compared: first, then by what.
func order(by string) []int {
	first := slices.Index(measureNames, by)
	all := []int{first}
	for _, m := range []int{parts, volume, spread} {
		if m != first {
			all = append(all, m)
		}
	}
	return all
}

func (m *measures) compare(o *measures, by []int) int {
	for _, k := range by {
		if c := cmp.Compare(m[k], o[k]); c != 0 {
			return c
		}
	}
	return 0
}

// measuresArg reads a list of measures.
func measuresArg(c *builtins.Call, param string) (all []int) {
	for _, v := range c.List(param) {
		name, _ := starlark.AsString(v)
		k := slices.Index(measureNames, name)
		if k < 0 {
			c.Bad(param, builtins.Show(v), "measures, any of "+builtins.Joined(measureNames))
			return nil
		}
		all = append(all, k)
	}
	return all
}

// measured is what can be told of a layout without running it.
func (l *layout) measured() (m measures) {
	m[parts], m[conductors] = l.counted()
	lo, hi, ok := l.box()
	if !ok {
		return m
	}
	d := hi.Sub(lo)
	m[volume] = int64(d.X+1) * int64(d.Y+1) * int64(d.Z+1)
	for i := range l.pieces {
		if p := &l.pieces[i]; !p.gone && p.shelf == 0 {
			at := p.cell.Sub(lo)
			m[spread] += int64(at.X + at.Y + at.Z)
		}
	}
	return m
}

// dynamic reports whether what is to become less is known only once a machine has run.
func (s *shrinking) dynamic() bool {
	return s.by[0] == news || s.by[0] == latency || s.by[0] == recovery
}

// static are the measures by which a machine can be told to be better before it has run.
func (s *shrinking) static() []int {
	if s.dynamic() || s.by[0] == pitch {
		return s.by[1:]
	}
	return s.by
}

// mayBeLess reports whether a change may better the machine, as far as that can be told before it is tried.
func (s *shrinking) mayBeLess(m measures, c change) bool {
	for _, k := range s.keep {
		if (k == parts || k == volume || k == conductors) && m[k] > s.is[k] {
			return false
		}
	}
	switch {
	case s.dynamic():
		return true
	case s.by[0] == pitch && c.pitch != (engine.Cell{}):
		return true
	}
	return m.compare(&s.is, s.static()) < 0
}

// more reports whether a machine has more of anything that it was to keep.
func (s *shrinking) more(m *measures) bool {
	return slices.ContainsFunc(s.keep, func(k int) bool { return m[k] > s.is[k] })
}

// wants reports whether a measure must be taken of every machine.
func (s *shrinking) wants(k int) bool { return s.by[0] == k || slices.Contains(s.keep, k) }

// measure takes the measures that need a machine that runs. all: every one.
func (s *shrinking) measure(r *trial.Runner, d *trial.Design, m *measures, all bool) error {
	at := d.Pitch
	m[pitch] = int64(max(at.X, -at.X) + max(at.Y, -at.Y) + max(at.Z, -at.Z))
	l := s.Of(d)
	if all || s.wants(news) {
		t, err := r.Rigged(d, s.Setting, s.size)
		if err != nil {
			return err
		}
		if _, err := survey.Once(t, s.numbers, s.turns); err != nil {
			return err
		}
		m[news] = t.Bench.Counters().News
	}
	if all || s.wants(latency) {
		ticks, steps, ok, err := measure.Latency(l, r, s.numbers, s.size)
		if err != nil {
			return err
		}
		if m[latency] = unmeasured; ok {
			m[latency] = ticks<<32 + int64(steps)
		}
	}
	if all || s.wants(recovery) {
		alone := *l
		alone.Crew = trial.NewCrew(r.Env) // recovery shares its trials out, and this is one of a crew itself
		defer alone.Crew.Close()
		var err error
		if m[recovery], err = measure.Recovery(&alone, s.numbers, s.size); err != nil {
			if r.Env.Stopped() != nil {
				return err
			}
			m[recovery] = unmeasured
		}
	}
	return nil
}

// show is a measure as a report writes it.
func (m *measures) show(k int) starlark.Value {
	n := m[k]
	switch {
	case n == unmeasured:
		return starlark.String("none")
	case k == latency && n>>32 > 0:
		return starlark.String(fmt.Sprintf("%s, to step %d", say.Count(int(n>>32), "tick"), n&(1<<32-1)))
	case k == latency:
		return starlark.String(say.Count(int(n), "step"))
	}
	return starlark.MakeInt64(n)
}

// dict is the measures for a script.
func (m *measures) dict(pitched bool) *starlark.Dict {
	d := starlark.NewDict(measureCount)
	for k, name := range measureNames {
		v := m.show(k)
		if k == pitch && !pitched {
			v = starlark.None
		}
		d.SetKey(starlark.String(name), v)
	}
	return d
}

// of is some measures for a script.
func (m *measures) of(which []int) *starlark.Dict {
	d := starlark.NewDict(len(which))
	for _, k := range which {
		d.SetKey(starlark.String(measureNames[k]), m.show(k))
	}
	return d
}
