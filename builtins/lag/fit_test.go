package lag

import (
	"pulsewright/builtins/stage"

	"math"
	"math/big"
	"strings"
	"testing"

	"go.starlark.net/starlark"
)

// TestFitSays: what a fit says of a few timings, word for word, and its fields.
func TestFitSays(t *testing.T) {
	s := stage.New()
	stage.MustSession(t, s, stage.Read(t, "testdata/fit.star"))
	stage.Golden(t, "testdata/fit.txt", s.Printed.Bytes())
}

// TestFitExact: timings made of known weights give these back, and no error.
func TestFitExact(t *testing.T) {
	s := stage.MustDo(t, `
rows = [dict(levels=l, news=n, ms=2.5 + 0.1 * l + 0.3 * n) for l, n in [(0, 0), (10, 3), (5, 50), (100, 7), (3, 3)]]
r = lag_fit(rows)
expect_equal(lag_fit(table(rows)).weights, r.weights)
expect("lie exactly on the fit" in str(lag_fit([dict(news=n, ms=2 * n) for n in range(5)])))
levels, news, base, error = r.weights["levels"], r.weights["news"], r.base, r.errors["news"]
`)
	for name, want := range map[string]float64{"levels": 0.1, "news": 0.3, "base": 2.5, "error": 0} {
		if got := number(t, s, name); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
}

func number(t *testing.T, s *stage.Scene, name string) float64 {
	t.Helper()
	v, ok := starlark.AsFloat(s.Names[name])
	if !ok {
		t.Fatalf("%s is %v", name, s.Names[name])
	}
	return v
}

// What lag_fit gives is taken as weights, whole, and what is made of it says that how sure they are is not in it.
func TestFitAsWeights(t *testing.T) {
	s := stage.New()
	if msg := s.Do(`rows = [dict(levels=100, news=20, ms=7.1), dict(levels=20, news=100, ms=12.0), dict(levels=200, news=200, ms=29.8), dict(levels=0, news=0, ms=1.1), dict(levels=50, news=10, ms=4.0)]
fit = lag_fit(rows)
w = wire((0, 0), (9, 0))
before = cost()
fire((0, 0))
run()
expect_equal(cost(since=before, weights=fit).lag, cost(since=before, weights=fit.weights).lag)
expect_equal(cost(weights=fit).weights, fit.weights)
print(cost(since=before, weights=fit))`); msg != "" {
		t.Fatal(msg)
	}
	if want := ": as lag_fit found them; how sure they are is not in this"; !strings.Contains(s.Printed.String(), want) {
		t.Errorf("%s\nwant %s", s.Printed, want)
	}
	v := &Verdict{w: &Weights{which: []int{0}, of: []*big.Rat{big.NewRat(1, 1)}}}
	for _, v.w.fit = range []bool{false, true} {
		lines := strings.Join(v.Lines(), "\n")
		if strings.Contains(lines, "lag_fit") != v.w.fit {
			t.Error(lines)
		}
	}
}
