package lag

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"pulsewright/builtins/say"
)

// Lines say the verdict: who costs the least by the weights given, and for which other weights others do.
func (v *Verdict) Lines() (lines []string) {
	for m, name := range measures {
		lines = append(lines, v.ranged(m, "cheapest "+name)...)
	}
	if len(v.w.which) > 1 {
		lines = append(lines, v.standings()...)
	}
	if len(v.w.which) > 2 {
		lines = append(lines, v.halves()...)
	}
	if v.w.fit {
		lines = append(lines, "weights as given: those that lag_fit found; how sure they are is not in this")
	}
	return lines
}

// ranged says who costs the least in one measure, weight by weight.
func (v *Verdict) ranged(m int, head string) (lines []string) {
	given := v.who(v.given[m])
	var idle []string // weights that decide nothing
	for _, s := range v.ranges {
		if s.measure != m {
			continue
		}
		what := say.Article(v.one(s.count))
		if len(s.parts) == 1 {
			idle = append(idle, what)
			continue
		}
		lead := head
		if s.unit < 0 {
			lead += ", the other weights as given"
		}
		line := lead + ": " + v.parts(s, what)
		if s.given != nil {
			line += ". As given it weighs " + v.weight(s, s.given)
		} else {
			line += ". As given only that weighs anything"
		}
		lines = append(lines, line+": "+given)
	}
	switch {
	case len(lines) > 0 && len(idle) > 0:
		lines = append(lines, fmt.Sprintf("%s: what %s weighs decides nothing, the other weights as given", head, strings.Join(idle, " or ")))
	case len(lines) > 0:
	case len(v.w.which) == 1:
		lines = append(lines, fmt.Sprintf("%s: %s, whatever %s weighs", head, given, say.Article(v.one(0))))
	case len(v.w.which) == 2:
		for _, s := range v.ranges {
			if s.measure == m {
				lines = append(lines, fmt.Sprintf("%s: %s, as long as both weigh anything. As given: %s", head, v.who(s.parts[0].least), given))
			}
		}
	default:
		lines = append(lines, fmt.Sprintf("%s: %s, as given; no weight alone changes that, the others as given", head, given))
	}
	return lines
}

// parts says who costs the least in which part of a range.
func (v *Verdict) parts(s span, what string) string {
	var says []string
	for i, p := range s.parts {
		who := v.who(p.least)
		switch {
		case i == 0:
			says = append(says, fmt.Sprintf("%s whenever %s weighs less than %s", who, what, v.weight(s, p.hi)))
		case p.hi != nil:
			says = append(says, fmt.Sprintf("%s from there to %s", who, v.weight(s, p.hi)))
		default:
			says = append(says, who+" whenever it weighs more")
		}
	}
	return strings.Join(says, "; ")
}

// weight writes a weight in the unit of its range.
func (v *Verdict) weight(s span, x *big.Rat) string {
	if s.unit < 0 {
		return Number(x)
	}
	return amount(x, v.one(s.unit))
}

// amount is so many of something: 3.4 deliveries, 0.5 of a delivery.
func amount(x *big.Rat, one string) string {
	n := Number(x)
	switch x.Cmp(big.NewRat(1, 1)) {
	case 0:
		return n + " " + one
	case -1:
		if x.Sign() > 0 {
			return n + " of " + say.Article(one)
		}
	}
	return n + " " + say.Plural(one)
}

// who names some of those compared.
func (v *Verdict) who(some []int) string {
	var all []string
	for _, i := range some {
		all = append(all, v.names[i])
	}
	if len(all) == 1 {
		return all[0]
	}
	return together(all, "and") + " alike"
}

// together lists names: "a, b and c".
func together(all []string, last string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	n := len(all) - 1
	return strings.Join(all[:n], ", ") + " " + last + " " + all[n]
}

// standings say of whom there are no weights by which they cost the least, and of the others that there are.
func (v *Verdict) standings() (lines []string) {
	for i, s := range v.stands {
		name := v.names[i]
		switch {
		case s.by == 0:
			lines = append(lines, fmt.Sprintf("never the only cheapest a transmission: %s, whatever the weights", name))
		case s.by < 0:
			var rivals []string
			for j, x := range s.mix {
				if x.Sign() > 0 {
					rivals = append(rivals, v.names[j])
				}
			}
			why := rivals[0] + " counts less of everything weighed"
			if len(rivals) > 1 {
				why = "whatever the weights, " + together(rivals, "or") + " costs less"
			}
			lines = append(lines, fmt.Sprintf("never the cheapest a transmission: %s: %s", name, why))
		case len(v.w.which) > 2 && !slices.Contains(v.given[0], i):
			var says []string
			for k, x := range s.with {
				says = append(says, fmt.Sprintf("%s %s", Number(x), say.Article(v.one(k))))
			}
			lines = append(lines, fmt.Sprintf("cheapest a transmission for weights such as %s: %s", strings.Join(says, ", "), name))
		}
	}
	return lines
}

// halves say of each two, neither of which is always the cheaper, for which weights which is: a half of all weights each.
func (v *Verdict) halves() (lines []string) {
	for a := range v.names {
		for b := a + 1; b < len(v.names); b++ {
			d := v.less(a, b)
			if !bothWays(d) {
				continue
			}
			scaled(d)
			var more, less []string
			for k, x := range d {
				switch x.Sign() {
				case 1:
					more = append(more, amount(x, v.one(k)))
				case -1:
					less = append(less, amount(new(big.Rat).Neg(x), v.one(k)))
				}
			}
			lines = append(lines, fmt.Sprintf("%s costs less a transmission than %s whenever %s weigh less than %s, and more whenever they weigh more",
				v.names[a], v.names[b], together(more, "and"), together(less, "and")))
		}
	}
	return lines
}

// scaled makes fractions whole, as small as can be, in the same proportion.
func scaled(d []*big.Rat) {
	div, mul := new(big.Int), big.NewInt(1)
	for _, x := range d {
		g := new(big.Int).GCD(nil, nil, mul, x.Denom())
		mul.Mul(mul, new(big.Int).Quo(x.Denom(), g))
	}
	by := new(big.Rat).SetInt(mul)
	for _, x := range d {
		x.Mul(x, by)
		div.GCD(nil, nil, div, new(big.Int).Abs(x.Num()))
	}
	if div.Sign() > 0 {
		by = new(big.Rat).SetFrac(big.NewInt(1), div)
		for _, x := range d {
			x.Mul(x, by)
		}
	}
}
