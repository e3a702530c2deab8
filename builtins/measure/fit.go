package measure

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
)

// A law says how a figure grows with the size N: a polynomial of at most degree 2 for every remainder of N by a period, which
// is 1 where one polynomial does for all. It is found from small sizes in a row and must give every larger size that was
// measured, exactly; what it is at sizes nobody measured stays unknown, so whoever shows a law shows the sizes, too.
type law struct {
	period int
	start  int64        // the first size it holds from
	coef   [][]*big.Rat // by remainder of N by the period: c0 + c1 N + c2 N²
}

// Limits of laws: how irregular a growth may be to have one.
const (
	longestPeriod = 4
	latestStart   = 4 // the law may begin that much later than the sizes
	leastProof    = 3 // so many sizes more than the law has coefficients must agree, of every remainder
)

// findLaw finds the simplest law behind points, x ascending: the shortest period, then the earliest start, then the lowest
// degree. ok is false if there is none.
func findLaw(xs, ys []int64) (l law, ok bool) {
	for period := 1; period <= longestPeriod; period++ {
		for start := 0; start < min(latestStart, len(xs)); start++ {
			if l, ok := lawFrom(xs[start:], ys[start:], period); ok {
				return l, true
			}
		}
	}
	return law{}, false
}

// lawFrom finds the law of a period that gives all points.
func lawFrom(xs, ys []int64, period int) (law, bool) {
	l := law{period: period, start: xs[0], coef: make([][]*big.Rat, period)}
	for r := range period {
		var px, py []int64
		for i, x := range xs {
			if int(x%int64(period)) == r {
				px, py = append(px, x), append(py, ys[i])
			}
		}
		if l.coef[r] = lowest(px, py); l.coef[r] == nil {
			return law{}, false
		}
	}
	return l, true
}

// lowest is the polynomial of the lowest degree, at most 2, through all points; nil if there is none, or too few agree.
func lowest(xs, ys []int64) []*big.Rat {
	for degree := 0; degree <= 2 && len(xs) >= degree+1+leastProof; degree++ {
		coef := through(xs[:degree+1], ys[:degree+1])
		if !slices.ContainsFunc(residuals(coef, xs, ys), func(d *big.Rat) bool { return d.Sign() != 0 }) {
			return coef
		}
	}
	return nil
}

// residuals are by how much points lie above a polynomial.
func residuals(coef []*big.Rat, xs, ys []int64) []*big.Rat {
	ds := make([]*big.Rat, len(xs))
	for i := range xs {
		ds[i] = new(big.Rat).SetInt64(ys[i])
		ds[i].Sub(ds[i], at2(coef, xs[i]))
	}
	return ds
}

// at is what the law gives for a size.
func (l law) at(x int64) *big.Rat { return at2(l.coef[int(x%int64(l.period))], x) }

// through is the polynomial through up to three points, by divided differences: c0 + c1 x + c2 x².
func through(xs, ys []int64) []*big.Rat {
	n := len(xs)
	d := make([]*big.Rat, n) // divided differences
	for i := range d {
		d[i] = new(big.Rat).SetInt64(ys[i])
	}
	for k := 1; k < n; k++ {
		for i := n - 1; i >= k; i-- {
			d[i].Sub(d[i], d[i-1])
			d[i].Quo(d[i], new(big.Rat).SetInt64(xs[i]-xs[i-k]))
		}
	}
	// From the form of Newton to powers of x.
	coef := make([]*big.Rat, n)
	for i := range coef {
		coef[i] = new(big.Rat)
	}
	for k := n - 1; k >= 0; k-- {
		x := new(big.Rat).SetInt64(xs[k])
		for i := n - 1; i > 0; i-- {
			coef[i].Sub(coef[i-1], new(big.Rat).Mul(coef[i], x))
		}
		coef[0].Neg(coef[0].Mul(coef[0], x))
		coef[0].Add(coef[0], d[k])
	}
	return coef
}

func at2(coef []*big.Rat, x int64) *big.Rat {
	v, r := new(big.Rat), new(big.Rat).SetInt64(x)
	for i := len(coef) - 1; i >= 0; i-- {
		v.Add(v.Mul(v, r), coef[i])
	}
	return v
}

// String writes the law: "12 N + 3", "5/2 N - 1/2 where N is odd, 5/2 N where it is even", "N from size 3 on" is said by others.
func (l law) String() string {
	if l.period == 0 {
		return "none"
	}
	if l.period == 1 {
		return polynomial(l.coef[0])
	}
	var says []string
	for k := range l.period { // from the remainder of 1 on, as sizes begin
		r := (k + 1) % l.period
		where := fmt.Sprintf("N = %d modulo %d", r, l.period)
		if l.period == 2 {
			where = [...]string{"N is even", "N is odd"}[r]
		}
		says = append(says, polynomial(l.coef[r])+" where "+where)
	}
	return fmt.Sprintf("no single law; period %d: %s", l.period, strings.Join(says, ", "))
}

// polynomial writes a polynomial in N: "2 N^2 - 5".
func polynomial(coef []*big.Rat) string {
	s := ""
	for i := len(coef) - 1; i >= 0; i-- {
		c := coef[i]
		if c.Sign() == 0 && !(i == 0 && s == "") {
			continue
		}
		abs := new(big.Rat).Abs(c)
		term := abs.RatString()
		switch {
		case i > 0 && abs.Cmp(big.NewRat(1, 1)) == 0:
			term = ""
		case i > 0:
			term += " "
		}
		if i > 0 {
			term += "N"
		}
		if i > 1 {
			term += fmt.Sprintf("^%d", i)
		}
		switch {
		case s == "" && c.Sign() < 0:
			s = "-" + term
		case s == "":
			s = term
		case c.Sign() < 0:
			s += " - " + term
		default:
			s += " + " + term
		}
	}
	return s
}
