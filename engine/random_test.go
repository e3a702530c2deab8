package engine_test

import (
	"fmt"
	"iter"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pulsewright/engine"
)

// setting reads a number from the environment.
func setting(t testing.TB, name string, otherwise int) int {
	s := os.Getenv(name)
	if s == "" {
		return otherwise
	}
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatalf("%s=%q is no number", name, s)
	}
	return n
}

// TestRandomBenches compares the engine with the model of model_test.go, event for event, on random
// benches. PULSEWRIGHT_BENCHES says how many, PULSEWRIGHT_SEED the seed of the first.
func TestRandomBenches(t *testing.T) {
	n := setting(t, "PULSEWRIGHT_BENCHES", 1000)
	words, who, rest := map[engine.What]int{}, map[engine.Kind]int{}, 0
	for seed := range seeds(t, n) {
		p := compareOn(t, seed, false)
		for w, n := range p.words {
			words[w] += n
		}
		for k, n := range p.kinds {
			who[k] += n
		}
		if p.m.quiet() {
			rest++
		}
	}
	t.Logf("%d benches, %d of them came to rest; events per 1000 benches:", n, rest)
	for w := engine.Forced; w <= engine.Enters; w++ {
		t.Logf("%10s %d", w, words[w]*1000/n)
		if words[w] == 0 && n >= 500 {
			t.Errorf("no event %q: the comparison is empty there", w)
		}
	}
	for _, k := range placed {
		t.Logf("%10s %d", k, who[k]*1000/n)
		if who[k] == 0 && n >= 500 {
			t.Errorf("no event at a %s: the comparison is empty there", k)
		}
	}
}

// TestRandomBenchesUnrecorded compares what is left to compare if the engine records nothing: counters and
// the state of every part and cell. Runs take short cuts then.
func TestRandomBenchesUnrecorded(t *testing.T) {
	for seed := range seeds(t, setting(t, "PULSEWRIGHT_BENCHES", 1000)/4) {
		compareOn(t, seed, true)
	}
}

// seeds are n seeds from the first on.
func seeds(t *testing.T, n int) iter.Seq[uint64] {
	first := uint64(setting(t, "PULSEWRIGHT_SEED", 1))
	return func(yield func(uint64) bool) {
		for seed := first; seed < first+uint64(n) && yield(seed); seed++ {
		}
	}
}

// compareOn plays the random bench of a seed on both, and fails with the smallest bench that still differs.
func compareOn(t *testing.T, seed uint64, blind bool) *pair {
	t.Helper()
	rules, deeds := randomBench(rand.New(rand.NewPCG(seed, 0)))
	p := newPair(rules, blind)
	if err := p.play(deeds); err != nil {
		deeds = shrink(rules, deeds, blind)
		t.Fatalf("seed %d: %v\ncut down to:\n%s%v", seed, err, goBench(rules, deeds), newPair(rules, blind).play(deeds))
	}
	return p
}

// shrink drops deeds, and simplifies what is left, while the model and the engine still differ.
func shrink(rules engine.Rules, deeds []deed, blind bool) []deed {
	how := newPair(rules, blind).play(deeds).Error()
	about := how[strings.LastIndex(how, ";")+1:] // the same sort of difference, such as "state" or "event"
	about, _, _ = strings.Cut(about, " ")
	differs := func(ds []deed) bool {
		err := newPair(rules, blind).play(ds)
		return err != nil && strings.Contains(err.Error(), ";"+about+" ")
	}
	for again := true; again; {
		again = false
		for size := len(deeds) / 2; size > 0; size /= 2 {
			for i := 0; i+size <= len(deeds); {
				less := slices.Delete(slices.Clone(deeds), i, i+size)
				if differs(less) {
					deeds, again = less, true
				} else {
					i += size
				}
			}
		}
		for i := range deeds {
			for _, simpler := range simplify(deeds[i]) {
				less := slices.Clone(deeds)
				less[i] = simpler
				if differs(less) {
					deeds, again = less, true
				}
			}
		}
	}
	return deeds
}

// simplify lists deeds a little simpler than d.
func simplify(d deed) []deed {
	var ds []deed
	simpler := func(change func(d *deed)) {
		s := d
		change(&s)
		if fmt.Sprint(s) != fmt.Sprint(d) {
			ds = append(ds, s)
		}
	}
	simpler(func(d *deed) { d.at = 0 })
	if d.n > 1 {
		simpler(func(d *deed) { d.n-- })
	}
	simpler(func(d *deed) { d.around, d.firing.Late = false, false })
	simpler(func(d *deed) { d.firing.Ticks = 0 })
	if d.firing.Steps > 0 {
		simpler(func(d *deed) { d.firing.Steps-- })
	}
	simpler(func(d *deed) { d.spec.Pads = nil })
	simpler(func(d *deed) { d.spec.FarSet, d.spec.Far = false, 0 })
	simpler(func(d *deed) { d.spec.On, d.spec.Out, d.spec.State = false, false, 0 })
	simpler(func(d *deed) {
		d.spec.Level, d.spec.Ticks, d.spec.Reject, d.spec.Hold, d.spec.Drop, d.spec.Keep, d.spec.Travel = 0, 0, 0, 0, 0, 0, 0
	})
	simpler(func(d *deed) { d.spec.Tokens = 0 })
	simpler(func(d *deed) { d.spec.LetGo = false })
	simpler(func(d *deed) { d.cord.Invert = false })
	return ds
}
