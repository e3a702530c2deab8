package lag

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

// longley is the data of J. W. Longley, An Appraisal of Least Squares Programs, JASA 62 (1967): y, then six columns that nearly rise
// together. Data and certified values as in the StRD of NIST, from memory: a slip in either would fail the test.
const longley = `60323 83.0 234289 2356 1590 107608 1947
61122 88.5 259426 2325 1456 108632 1948
60171 88.2 258054 3682 1616 109773 1949
61187 89.5 284599 3351 1650 110929 1950
63221 96.2 328975 2099 3099 112075 1951
63639 98.1 346999 1932 3594 113270 1952
64989 99.0 365385 1870 3547 115094 1953
63761 100.0 363112 3578 3350 116219 1954
66019 101.2 397469 2904 3048 117388 1955
67857 104.6 419180 2822 2857 118734 1956
68169 108.4 442769 2936 2798 120445 1957
66513 110.8 444546 4681 2637 121950 1958
68655 112.6 482704 3813 2552 123366 1959
69564 114.2 502601 3931 2514 125368 1960
69331 115.7 518173 4806 2572 127852 1961
70551 116.9 554894 4007 2827 130081 1962`

// TestLongley: the certified coefficients and standard errors, to all digits that a float holds.
func TestLongley(t *testing.T) {
	var x [][]*big.Rat
	var y []*big.Rat
	for line := range strings.Lines(longley) {
		row := []*big.Rat{big.NewRat(1, 1)}
		for i, s := range strings.Fields(line) {
			r, ok := new(big.Rat).SetString(s)
			if !ok {
				t.Fatal(s)
			}
			if i == 0 {
				y = append(y, r)
			} else {
				row = append(row, r)
			}
		}
		x = append(x, row)
	}
	f, dependent, _, _ := leastSquares(x, y, true, never)
	if dependent >= 0 {
		t.Fatalf("column %d depends on others", dependent)
	}
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-13*math.Abs(want) {
			t.Errorf("%s: %.15g, certified %.15g", what, got, want)
		}
	}
	for i, want := range [][2]float64{{-3482258.63459582, 890420.383607373}, {15.0618722713733, 84.9149257747669}, {-0.358191792925910e-01, 0.334910077722432e-01},
		{-2.02022980381683, 0.488399681651699}, {-1.03322686717359, 0.214274163161675}, {-0.511041056535807e-01, 0.226073200069370}, {1829.15146461355, 455.478499142212}} {
		got, _ := f.coef[i].Float64()
		near("coefficient", got, want[0])
		near("error", f.errors[i], want[1])
	}
	near("spread", f.spread, 304.854073561965)
}

// TestStudent: values of the tables.
func TestStudent(t *testing.T) {
	for free, want := range map[int]float64{1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 10: 2.228, 30: 2.042, 120: 1.980} {
		if got := student(free); math.Abs(got-want) > 0.0005 {
			t.Errorf("%d degrees: %.4f, want %.3f", free, got, want)
		}
	}
}

// TestErrorBars: of many simulated sets of timings with weights that are known, about 19 in 20 have each weight within its bars.
func TestErrorBars(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 12))
	truth := []float64{2, 0.03, 0.5}
	const sets = 400
	within := make([]int, len(truth))
	for range sets {
		var x [][]*big.Rat
		var y []*big.Rat
		for range 8 {
			row := []*big.Rat{big.NewRat(1, 1), big.NewRat(r.Int64N(1000), 1), big.NewRat(r.Int64N(100), 1)}
			ms := r.NormFloat64()
			for i, w := range truth {
				v, _ := row[i].Float64()
				ms += w * v
			}
			x, y = append(x, row), append(y, new(big.Rat).SetFloat64(ms))
		}
		f, _, _, _ := leastSquares(x, y, true, never)
		for i := range truth {
			if got, _ := f.coef[i].Float64(); math.Abs(got-truth[i]) <= student(8-3)*f.errors[i] {
				within[i]++
			}
		}
	}
	for i, n := range within {
		if n < sets*92/100 || n > sets*98/100 {
			t.Errorf("weight %d lies within its bars in %d of %d sets", i, n, sets)
		}
	}
}

// TestNotNegative holds the bounded fit to its conditions (Karush, Kuhn and Tucker): no weight below 0; to raise a weight that is 0 would
// make the fit no better; and of the others the slope is 0.
func TestNotNegative(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 12))
	bound := 0
	for range 100 {
		var x [][]*big.Rat
		var y []*big.Rat
		for range 7 {
			x = append(x, []*big.Rat{big.NewRat(1, 1), big.NewRat(r.Int64N(9), 1), big.NewRat(r.Int64N(9), 1), big.NewRat(r.Int64N(9), 1)})
			y = append(y, big.NewRat(r.Int64N(20), 1))
		}
		if _, dependent, _, _ := leastSquares(x, y, true, never); dependent >= 0 {
			continue
		}
		f, kept, _ := notNegative(x, y, true, never)
		of := map[int]bool{}
		for i, c := range kept {
			of[c] = true
			if c > 0 && f.coef[i].Sign() < 0 {
				t.Fatalf("weight %d is %v", c, f.coef[i])
			}
		}
		for c := range x[0] {
			slope := new(big.Rat)
			for k := range x {
				slope.Add(slope, new(big.Rat).Mul(x[k][c], f.left[k]))
			}
			if !of[c] {
				bound++
			}
			if of[c] && slope.Sign() != 0 || !of[c] && slope.Sign() > 0 {
				t.Fatalf("%v %v: column %d, kept %v, slope %v", x, y, c, of[c], slope)
			}
		}
	}
	if bound < 20 {
		t.Errorf("%d weights were at their bound", bound)
	}
}

func never() error { return nil }
