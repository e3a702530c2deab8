package lag

import (
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pulsewright/engine"
)

// randomLoads are a few loads whose counts are small, so that ties, parallels and dominated ones come often.
func randomLoads(r *rand.Rand) (loads []Load) {
	for range 1 + r.IntN(5) {
		l := Load{Name: string(rune('a' + len(loads))), N: 1 + r.Int64N(3)}
		for range r.IntN(6) {
			t := engine.Counters{News: r.Int64N(6), Levels: r.Int64N(6), Acts: r.Int64N(6), Timers: r.Int64N(3)}
			l.Ticks = append(l.Ticks, t)
			l.Sum = l.Sum.Add(t)
		}
		loads = append(loads, l)
	}
	return loads
}

func weightsOf(which []int, of ...int64) *Weights {
	w := &Weights{which: which}
	for _, x := range of {
		w.of = append(w.of, big.NewRat(x, 1))
	}
	return w
}

// bruteLeast are the least by plain sums, measure by measure.
func bruteLeast(w *Weights, loads []Load) (who [2][]int) {
	for m := range who {
		var sums []*big.Rat
		for _, l := range loads {
			sum := w.Mean(l)
			if m == 1 {
				sum = w.Worst(l)
			}
			sums = append(sums, sum)
		}
		for i, s := range sums {
			if !slices.ContainsFunc(sums, func(o *big.Rat) bool { return o.Cmp(s) < 0 }) {
				who[m] = append(who[m], i)
			}
		}
	}
	return who
}

// TestRangeOfTwo holds the range of two weights to brute force over a grid of them.
func TestRangeOfTwo(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 12))
	for range 80 {
		loads := randomLoads(r)
		v := weightsOf([]int{1, 0}, 1, 1).Judge(loads)
		for a := int64(1); a <= 12; a++ {
			for b := int64(1); b <= 12; b++ {
				want := bruteLeast(weightsOf([]int{1, 0}, a, b), loads)
				for m, s := range v.ranges {
					checkAt(t, s, big.NewRat(a, b), want[m], loads)
				}
			}
		}
		// Somewhere within a part, off all places where two may touch, its own are the least and nobody else.
		for m, s := range v.ranges {
			for _, p := range s.parts {
				x := new(big.Rat).Add(p.lo, big.NewRat(1_000_003, 7))
				if p.hi != nil {
					x.Sub(p.hi, p.lo).Mul(x, big.NewRat(r.Int64N(99_990)+1, 99_991)).Add(x, p.lo)
				}
				w := &Weights{which: []int{1, 0}, of: []*big.Rat{x, big.NewRat(1, 1)}}
				if got := bruteLeast(w, loads)[m]; !slices.Equal(got, p.least) {
					t.Fatalf("%v\nmeasure %d: at %v the least are %v, not %v", loads, m, x, got, p.least)
				}
			}
		}
	}
}

// checkAt looks whether those of a part are the least where a weight is x. One that only touches the least at x need not be named.
func checkAt(t *testing.T, s span, x *big.Rat, want []int, loads []Load) {
	t.Helper()
	for i, p := range s.parts {
		if x.Cmp(p.lo) < 0 || p.hi != nil && x.Cmp(p.hi) > 0 {
			continue
		}
		for _, who := range p.least {
			if !slices.Contains(want, who) {
				t.Fatalf("%v\nmeasure %d, part %d: at %v the least are %v, not %v", loads, s.measure, i, x, want, p.least)
			}
		}
		return
	}
	t.Fatalf("no part holds %v", x)
}

// TestRangesOfMore holds the ranges of three weights, one changed at a time, to brute force.
func TestRangesOfMore(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 12))
	which := []int{1, 0, 2}
	for range 40 {
		loads := randomLoads(r)
		given := []int64{r.Int64N(4), r.Int64N(4), 1 + r.Int64N(4)}
		v := weightsOf(which, given...).Judge(loads)
		for _, s := range v.ranges {
			for x := int64(1); x <= 40; x++ {
				at := weightsOf(which, given...)
				at.of[s.count] = big.NewRat(x, 4)
				checkAt(t, s, big.NewRat(x, 4), bruteLeast(at, loads)[s.measure], loads)
			}
		}
	}
}

// TestStand: who is said to be the cheapest for some weights is it by those that are named; of who is said never to be it, the shares
// of the others that are named cost less of everything; and no weights of a grid say otherwise.
func TestStand(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 12))
	seen := map[int]int{}
	for range 200 {
		loads := randomLoads(r)
		which := []int{1, 0, 2, 5}[:1+r.IntN(4)]
		w := &Weights{which: which, of: equalShares(len(which))}
		v := w.Judge(loads)
		for i, s := range v.stands {
			seen[s.by]++
			if s.by >= 0 {
				w.of = s.with
				best := bruteLeast(w, loads)[0]
				if !slices.Contains(best, i) || s.by > 0 && len(best) > 1 {
					t.Fatalf("%v\nby %v, %d is not the cheapest: %v", loads, s.with, i, best)
				}
				continue
			}
			for k := range which {
				mixed := new(big.Rat)
				for j, share := range s.mix {
					mixed.Add(mixed, new(big.Rat).Mul(share, v.means[j][k]))
				}
				if mixed.Cmp(v.means[i][k]) >= 0 {
					t.Fatalf("%v\n%v of the others does not count less than %d", loads, s.mix, i)
				}
			}
		}
		for range 100 {
			w.of = nil
			for range which {
				w.of = append(w.of, big.NewRat(r.Int64N(6), 1))
			}
			if best := bruteLeast(w, loads)[0]; len(best) == 1 && v.stands[best[0]].by <= 0 {
				t.Fatalf("%v\n%d is the only cheapest by %v, which was denied", loads, best[0], w)
			}
		}
	}
	for by := -1; by <= 1; by++ {
		if seen[by] < 20 {
			t.Errorf("standing %d was seen %d times", by, seen[by])
		}
	}
}

// TestHalves: which of two costs less is on the side of the half that its sentence says.
func TestHalves(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 12))
	which := []int{1, 0, 2}
	for range 200 {
		loads := randomLoads(r)
		v := weightsOf(which, 1, 1, 1).Judge(loads)
		for a := range loads {
			for b := range a {
				d := v.less(a, b)
				scaled(d)
				w := weightsOf(which, r.Int64N(9), r.Int64N(9), 1+r.Int64N(9))
				side := new(big.Rat)
				for k := range d {
					if !d[k].IsInt() {
						t.Fatalf("%v is not whole", d)
					}
					side.Add(side, new(big.Rat).Mul(d[k], w.of[k]))
				}
				if got, want := side.Sign(), w.Mean(loads[a]).Cmp(w.Mean(loads[b])); got != want {
					t.Fatalf("%v\n%v: side %d, want %d", loads, d, got, want)
				}
			}
		}
	}
}

// TestVerdictSays: the sentences of a few loads, word for word.
func TestVerdictSays(t *testing.T) {
	load := func(name string, n, news, levels, acts int64) Load {
		c := engine.Counters{News: news, Levels: levels, Acts: acts}
		return Load{Name: name, Sum: c, N: n, Ticks: []engine.Counters{c}}
	}
	pull, quick := load("pull", 1, 10, 20, 0), load("quick", 1, 27, 15, 0)
	for _, c := range []struct {
		name  string
		w     *Weights
		loads []Load
		want  string
	}{
		{"two", weightsOf([]int{1, 0}, 1, 2), []Load{pull, quick}, `
cheapest a transmission: pull whenever a level change weighs less than 3.4 deliveries; quick whenever it weighs more. As given it weighs 0.5 of a delivery: pull
cheapest the worst tick: pull whenever a level change weighs less than 3.4 deliveries; quick whenever it weighs more. As given it weighs 0.5 of a delivery: pull`},
		{"alike at the threshold", weightsOf([]int{1, 0}, 17, 5), []Load{pull, quick}, `
cheapest a transmission: pull whenever a level change weighs less than 3.4 deliveries; quick whenever it weighs more. As given it weighs 3.4 deliveries: pull and quick alike
cheapest the worst tick: pull whenever a level change weighs less than 3.4 deliveries; quick whenever it weighs more. As given it weighs 3.4 deliveries: pull and quick alike`},
		{"one is always less", weightsOf([]int{1, 0}, 0, 1), []Load{pull, load("dear", 1, 11, 21, 0)}, `
cheapest a transmission: pull, as long as both weigh anything. As given: pull
cheapest the worst tick: pull, as long as both weigh anything. As given: pull
never the cheapest a transmission: dear: pull counts less of everything weighed`},
		{"only level changes weigh, as given", weightsOf([]int{1, 0}, 1, 0), []Load{pull, quick}, `
cheapest a transmission: pull whenever a level change weighs less than 3.4 deliveries; quick whenever it weighs more. As given only that weighs anything: quick
cheapest the worst tick: pull whenever a level change weighs less than 3.4 deliveries; quick whenever it weighs more. As given only that weighs anything: quick`},
		{"between two", weightsOf([]int{0, 1}, 1, 1), []Load{load("a", 1, 0, 10, 0), load("b", 1, 10, 0, 0), load("c", 1, 6, 6, 0), load("d", 1, 10, 10, 0), load("e", 1, 12, 0, 0)}, `
cheapest a transmission: b whenever a delivery weighs less than 1 level change; a whenever it weighs more. As given it weighs 1 level change: a and b alike
cheapest the worst tick: b whenever a delivery weighs less than 1 level change; a whenever it weighs more. As given it weighs 1 level change: a and b alike
never the cheapest a transmission: c: whatever the weights, a or b costs less
never the cheapest a transmission: d: whatever the weights, a or b costs less
never the only cheapest a transmission: e, whatever the weights`},
		{"three", weightsOf([]int{1, 0, 2}, 1, 2, 0), []Load{load("pull", 2, 20, 40, 6), quick}, `
cheapest a transmission, the other weights as given: pull whenever a level change weighs less than 6.8; quick whenever it weighs more. As given it weighs 1: pull
cheapest a transmission, the other weights as given: quick whenever a delivery weighs less than 5/17; pull whenever it weighs more. As given it weighs 2: pull
cheapest a transmission, the other weights as given: pull whenever an act weighs less than 29/3; quick whenever it weighs more. As given it weighs 0: pull`},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := strings.Join(c.w.Judge(c.loads).Lines(), "\n")
			if !strings.HasPrefix("\n"+got, c.want) || c.name != "three" && "\n"+got != c.want {
				t.Errorf("got\n%s\nwant%s", got, c.want)
			}
		})
	}
}
