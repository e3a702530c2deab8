package lag

import (
	"math"
	"math/big"
	"sort"
)

// fitted is what least squares say of some columns: y is about the sum of coef times column.
type fitted struct {
	coef    []*big.Rat
	errors  []float64 // standard errors
	inflate []float64 // how many times larger each error is than if the columns did not rise together
	left    []*big.Rat
	rss     *big.Rat
	spread  float64 // standard deviation of a timing about the fit
}

// leastSquares fits y by columns. It is done in fractions, not by a library: there are at most eight unknowns, so that it is a page, and
// nothing is rounded before the end, which no library in floating point offers; columns that depend on each other are found exactly. If one
// depends on those before it, its place and their shares in it are given instead. The errors are those of the linear model with equal,
// independent errors: s² (X'X)⁻¹ (Draper and Smith, Applied Regression Analysis, from memory); there must be more rows than columns. base:
// the first column is the constant 1. stopped is asked now and then: its error ends the work.
func leastSquares(x [][]*big.Rat, y []*big.Rat, base bool, stopped func() error) (f *fitted, dependent int, shares []*big.Rat, err error) {
	p := len(x[0])
	t := make([][]*big.Rat, p) // X'X, beside it X'y and the unit matrix
	for i := range t {
		t[i] = make([]*big.Rat, 2*p+1)
		for j := range t[i] {
			t[i][j] = new(big.Rat)
		}
		for r := range x {
			if err := stopped(); err != nil {
				return nil, -1, nil, err
			}
			for j := range p {
				t[i][j].Add(t[i][j], new(big.Rat).Mul(x[r][i], x[r][j]))
			}
			t[i][p].Add(t[i][p], new(big.Rat).Mul(x[r][i], y[r]))
		}
		t[i][p+1+i].SetInt64(1)
	}
	total := make([]*big.Rat, p)
	for i := range t {
		total[i] = new(big.Rat).Set(t[i][i])
		if base && i > 0 { // about its mean
			total[i].Sub(total[i], new(big.Rat).Quo(new(big.Rat).Mul(t[0][i], t[0][i]), t[0][0]))
		}
	}
	for i := range t {
		if t[i][i].Sign() == 0 { // X'X has no negative pivots: the column is a sum of those before it
			for j := range i {
				shares = append(shares, t[j][i])
			}
			return nil, i, shares, nil
		}
		pivot(t, i, i)
	}
	f = &fitted{rss: new(big.Rat)}
	for i := range t {
		f.coef = append(f.coef, t[i][p])
	}
	for r := range x {
		if err := stopped(); err != nil {
			return nil, -1, nil, err
		}
		d := new(big.Rat).Set(y[r])
		for i, c := range f.coef {
			d.Sub(d, new(big.Rat).Mul(c, x[r][i]))
		}
		f.left = append(f.left, d)
		f.rss.Add(f.rss, new(big.Rat).Mul(d, d))
	}
	if spare := len(x) - p; spare > 0 {
		v := new(big.Rat).Quo(f.rss, big.NewRat(int64(spare), 1))
		f.spread = root(v)
		for i := range t {
			f.errors = append(f.errors, root(new(big.Rat).Mul(v, t[i][p+1+i])))
			f.inflate = append(f.inflate, root(new(big.Rat).Mul(total[i], t[i][p+1+i])))
		}
	}
	return f, -1, nil, nil
}

func root(r *big.Rat) float64 {
	v, _ := r.Float64()
	return math.Sqrt(v)
}

// bounded is a fit with no weight below 0: the plain one, if that has none.
func bounded(plain *fitted, x [][]*big.Rat, y []*big.Rat, base bool, stopped func() error) (best *fitted, kept []int, err error) {
	for i, c := range plain.coef {
		if c.Sign() < 0 && (i > 0 || !base) {
			return notNegative(x, y, base, stopped)
		}
		kept = append(kept, i)
	}
	return plain, kept, nil
}

// notNegative fits with no weight below 0: of all sets of columns whose own fit has none below it, the one that fits best (the least
// squares under such bounds are the plain ones of the columns that stay off their bound: Lawson and Hanson, Solving Least Squares
// Problems, 1974, from memory; with so few columns all sets can be tried). kept are the columns that stay.
func notNegative(x [][]*big.Rat, y []*big.Rat, base bool, stopped func() error) (best *fitted, kept []int, err error) {
	p, first := len(x[0]), 0
	if base {
		first = 1
	}
	for set := range 1 << (p - first) {
		var cols []int
		if base {
			cols = append(cols, 0)
		}
		for c := first; c < p; c++ {
			if set>>(c-first)&1 == 1 {
				cols = append(cols, c)
			}
		}
		if len(cols) == 0 {
			continue
		}
		some := make([][]*big.Rat, len(x))
		for r := range x {
			for _, c := range cols {
				some[r] = append(some[r], x[r][c])
			}
		}
		f, dependent, _, err := leastSquares(some, y, base, stopped)
		if err != nil {
			return nil, nil, err
		}
		if dependent >= 0 {
			continue
		}
		low := sort.Search(len(cols), func(i int) bool { return cols[i] >= first })
		below := false
		for _, c := range f.coef[low:] {
			below = below || c.Sign() < 0
		}
		if !below && (best == nil || f.rss.Cmp(best.rss) < 0) {
			best, kept = f, cols
		}
	}
	return best, kept, nil
}

// student is the t that a value of Student's distribution stays within, either way, 19 times in 20. The distribution is a finite sum for
// whole degrees of freedom (Abramowitz and Stegun 26.7.3 and 26.7.4, from memory).
func student(free int) float64 {
	within := func(t float64) float64 {
		a := math.Atan(t / math.Sqrt(float64(free)))
		sin, cos := math.Sincos(a)
		term, sum := 1.0, 0.0
		if free%2 == 1 {
			term = cos
		}
		for k := free%2 + 2; k <= free; k += 2 {
			sum += term
			term *= cos * cos * float64(k-1) / float64(k)
		}
		if free%2 == 1 {
			return 2 / math.Pi * (a + sin*sum)
		}
		return sin * sum
	}
	low, high := 0.0, 20.0
	for range 60 {
		if mid := (low + high) / 2; within(mid) < 0.95 {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
