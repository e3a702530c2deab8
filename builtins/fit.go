package builtins

import (
	"fmt"
	"math/big"
)

// growth is how a figure grows with size, found from runs of growing sizes: the polynomial of the lowest degree, at most
// 2, that goes exactly through all points, of which there is at least one more than the polynomial needs.
type growth struct {
	law  string // "constant", "linear", "quadratic"; "other" if none of them fits
	coef []*big.Rat
}

// fit finds the law behind points with different x. Fewer than two points tell nothing: law is "".
func fit(xs, ys []int64) growth {
	if len(xs) < 2 {
		return growth{}
	}
	for degree, law := range [...]string{"constant", "linear", "quadratic"} {
		if len(xs) < degree+2 {
			break
		}
		coef := through(xs[:degree+1], ys[:degree+1])
		fits := true
		for i := degree + 1; i < len(xs) && fits; i++ {
			fits = at2(coef, xs[i]).Cmp(new(big.Rat).SetInt64(ys[i])) == 0
		}
		if fits {
			return growth{law, coef}
		}
	}
	return growth{law: "other"}
}

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

// String writes the law with its coefficients: "linear: 12 N + 3".
func (g growth) String() string {
	switch g.law {
	case "":
		return "not known: too few sizes"
	case "other":
		return "none of constant, linear, quadratic"
	}
	s := ""
	for i := len(g.coef) - 1; i >= 0; i-- {
		c := g.coef[i]
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
	return g.law + ": " + s
}
