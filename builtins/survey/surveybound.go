package survey

import (
	"math"
	"math/rand/v2"
	"pulsewright/builtins"
	"sort"
)

// atMost is the one-sided upper bound, at 95 %, of a share of which k of n drawn were seen, after C. J. Clopper, E. S. Pearson,
// Biometrika 26, 1934, 404-413: if the share were larger, at most k would be seen less than once in twenty. It is from 0 to 1.
func atMost(k, n int) float64 {
	if k >= n {
		return 1
	}
	lo, hi := 0.0, 1.0
	for range 60 {
		if mid := (lo + hi) / 2; binomialUpTo(k, n, mid) > .05 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// binomialUpTo is the chance of at most k of n.
func binomialUpTo(k, n int, p float64) float64 {
	if p <= 0 {
		return 1
	}
	if p >= 1 {
		return float64(builtins.BoolInt(k >= n))
	}
	whole, _ := math.Lgamma(float64(n + 1))
	sum := 0.0
	for i := 0; i <= k; i++ {
		a, _ := math.Lgamma(float64(i + 1))
		b, _ := math.Lgamma(float64(n - i + 1))
		sum += math.Exp(whole - a - b + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
	}
	return sum
}

// draw chooses cases by lot: orientation and order, each as likely as the others, with replacement.
func (p *surveyPlan) draw() {
	rng := rand.New(rand.NewPCG(uint64(p.Seed), 0x5375727665790a))
	for k := range p.plainRows() {
		ends := make([]int, 0, p.starts[k+1]-p.starts[k]) // cases up to each unit
		sum := 0
		for u := p.starts[k]; u < p.starts[k+1]; u++ {
			sum += p.like(u)
			ends = append(ends, sum)
		}
		drawn := make([]int, p.Sample)
		for i := range drawn {
			drawn[i] = p.starts[k] + sort.SearchInts(ends, rng.IntN(p.cases())+1)
		}
		p.Drawn = append(p.Drawn, drawn)
	}
}
