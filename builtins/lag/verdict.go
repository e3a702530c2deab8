package lag

import (
	"math/big"
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Load is what a design costs: what some transmissions counted together, how many these are, and what each of their ticks counted.
type Load struct {
	Name  string
	Sum   engine.Counters
	N     int64
	Ticks []engine.Counters
}

// measures are the two ways in which a load is weighed.
var measures = [2]string{"a transmission", "the worst tick"}

// Mean is what a transmission weighs on average.
func (w *Weights) Mean(l Load) *big.Rat {
	v := w.Of(l.Sum)
	return v.Quo(v, big.NewRat(l.N, 1))
}

// Worst is what the tick weighs that weighs the most; 0 without ticks.
func (w *Weights) Worst(l Load) *big.Rat {
	v := new(big.Rat)
	for _, t := range l.Ticks {
		if x := w.Of(t); x.Cmp(v) > 0 {
			v = x
		}
	}
	return v
}

// Verdict says which of some loads is the least: by the weights given, and over their whole range.
type Verdict struct {
	w      *Weights
	names  []string
	given  [len(measures)][]int // the least by the weights as given
	ranges []span
	means  [][]*big.Rat // of a transmission: by load, then count
	stands []standing   // of a transmission: by load
}

// span says who is the least while one weight goes from 0 up.
type span struct {
	measure int
	count   int // which weight
	unit    int // the weight it is told in; -1: the others stay as given
	given   *big.Rat
	parts   []part
}

// Judge compares loads. With two weights only their ratio matters, so that one range says all; with more each has a range in which the
// others stay as given.
func (w *Weights) Judge(loads []Load) *Verdict {
	v := &Verdict{w: w}
	var sums [len(measures)][]*big.Rat
	for _, l := range loads {
		v.names = append(v.names, l.Name)
		sums[0], sums[1] = append(sums[0], w.Mean(l)), append(sums[1], w.Worst(l))
		mean := w.vector(l.Sum)
		for _, x := range mean {
			x.Quo(x, big.NewRat(l.N, 1))
		}
		v.means = append(v.means, mean)
	}
	for m := range measures {
		v.given[m] = least(sums[m])
		switch len(w.which) {
		case 1:
		case 2:
			s := span{measure: m, count: 0, unit: 1}
			if w.of[1].Sign() > 0 {
				s.given = new(big.Rat).Quo(w.of[0], w.of[1])
			}
			v.ranges = append(v.ranges, v.along(s, loads))
		default:
			for k := range w.which {
				v.ranges = append(v.ranges, v.along(span{measure: m, count: k, unit: -1, given: w.of[k]}, loads))
			}
		}
	}
	for i := range loads {
		v.stands = append(v.stands, stand(v.means, i))
	}
	return v
}

// vector is what is counted of what has a weight.
func (w *Weights) vector(c engine.Counters) (v []*big.Rat) {
	for _, i := range w.which {
		v = append(v, big.NewRat(counts[i].of(c), 1))
	}
	return v
}

// along fills in who is the least where.
func (v *Verdict) along(s span, loads []Load) span {
	costs := make([][]line, len(loads))
	for i, l := range loads {
		vectors := [][]*big.Rat{v.means[i]}
		if s.measure == 1 {
			vectors = nil
			seen := map[engine.Counters]bool{}
			for _, t := range l.Ticks {
				if t.PeakNews = 0; !seen[t] {
					seen[t] = true
					vectors = append(vectors, v.w.vector(t))
				}
			}
			if len(vectors) == 0 {
				vectors = append(vectors, v.w.vector(engine.Counters{}))
			}
		}
		for _, x := range vectors {
			costs[i] = append(costs[i], v.line(s, x))
		}
	}
	s.parts = along(costs)
	return s
}

// line is what counts weigh while one weight changes.
func (v *Verdict) line(s span, x []*big.Rat) line {
	l := line{new(big.Rat), x[s.count]}
	for k := range x {
		switch {
		case k == s.count:
		case s.unit >= 0:
			l.at0.Add(l.at0, x[k])
		default:
			l.at0.Add(l.at0, new(big.Rat).Mul(v.w.of[k], x[k]))
		}
	}
	return l
}

// less is by how much of each count the mean transmission of a is above that of b: a costs less where this weighs less than nothing.
func (v *Verdict) less(a, b int) (d []*big.Rat) {
	for k := range v.means[a] {
		d = append(d, new(big.Rat).Sub(v.means[a][k], v.means[b][k]))
	}
	return d
}

// Value gives a script what was found.
func (v *Verdict) Value() starlark.Value {
	of := func(who []int) *starlark.List {
		var l []starlark.Value
		for _, i := range who {
			l = append(l, starlark.String(v.names[i]))
		}
		return starlark.NewList(l)
	}
	cheapest := starlark.NewDict(len(measures))
	for m, name := range measures {
		cheapest.SetKey(starlark.String(name), of(v.given[m]))
	}
	var ranges, pairs, never []starlark.Value
	for _, s := range v.ranges {
		var parts []starlark.Value
		for _, p := range s.parts {
			parts = append(parts, builtins.StructOf("part", starlark.StringDict{"above": Value(p.lo), "below": orNone(p.hi), "cheapest": of(p.least)}))
		}
		in := starlark.Value(starlark.None)
		if s.unit >= 0 {
			in = starlark.String(v.name(s.unit))
		}
		ranges = append(ranges, builtins.StructOf("range", starlark.StringDict{"of": starlark.String(measures[s.measure]), "count": starlark.String(v.name(s.count)), "unit": in,
			"given": orNone(s.given), "parts": starlark.NewList(parts)}))
	}
	some := starlark.NewDict(len(v.names))
	for i, s := range v.stands {
		if s.by <= 0 {
			never = append(never, starlark.String(v.names[i]))
		} else {
			some.SetKey(starlark.String(v.names[i]), v.w.dictOf(s.with))
		}
		for j := range v.names {
			if i < j {
				pairs = append(pairs, builtins.StructOf("pair", starlark.StringDict{"a": starlark.String(v.names[i]), "b": starlark.String(v.names[j]), "differ": v.w.dictOf(v.less(i, j))}))
			}
		}
	}
	return builtins.StructOf("lag", starlark.StringDict{"weights": v.w.dict(), "cheapest": cheapest, "ranges": starlark.NewList(ranges),
		"pairs": starlark.NewList(pairs), "never": starlark.NewList(never), "some": some})
}

func (v *Verdict) name(k int) string { return counts[v.w.which[k]].name }

func (v *Verdict) one(k int) string { return counts[v.w.which[k]].one }

func orNone(r *big.Rat) starlark.Value {
	if r == nil {
		return starlark.None
	}
	return Value(r)
}

// bothWays reports whether each of two costs less for some weights.
func bothWays(d []*big.Rat) bool {
	up := func(x *big.Rat) bool { return x.Sign() > 0 }
	down := func(x *big.Rat) bool { return x.Sign() < 0 }
	return slices.ContainsFunc(d, up) && slices.ContainsFunc(d, down)
}
