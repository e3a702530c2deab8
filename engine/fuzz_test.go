package engine_test

import (
	"math/rand/v2"
	"testing"

	"pulsewright/engine"
)

// bytesChooser makes its choices from bytes, and the first choice each time when they are used up.
type bytesChooser struct{ data []byte }

func (c *bytesChooser) IntN(n int) int {
	if len(c.data) == 0 {
		return 0
	}
	v := int(c.data[0])
	c.data = c.data[1:]
	return v % n
}

// FuzzPlaceAndFire places, edits, fires and runs whatever the bytes say: the engine must not panic, must stay
// sound, and must do what the model does. Long inputs take long to make smaller: fuzz with -fuzzminimizetime 20x.
func FuzzPlaceAndFire(f *testing.F) {
	for seed := range uint64(20) {
		dice := rand.New(rand.NewPCG(seed, 6))
		data := make([]byte, 100+dice.IntN(900))
		for i := range data {
			data[i] = byte(dice.IntN(256))
		}
		f.Add(data)
	}
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 3000 {
			return
		}
		rules, deeds := randomBench(&bytesChooser{data})
		if err := newPair(rules, false).play(deeds); err != nil {
			t.Fatalf("%v\n%s", err, goBench(rules, deeds))
		}
	})
}

// FuzzOwnKinds tells two kinds of one's own as the bytes say, places them among a few others, and runs that: the engine must do what the model does, which
// asks the function where the engine looks into its table.
func FuzzOwnKinds(f *testing.F) {
	for seed := range uint64(30) {
		dice := rand.New(rand.NewPCG(seed, 10))
		some := func(n int) []byte {
			data := make([]byte, n)
			for i := range data {
				data[i] = byte(dice.IntN(256))
			}
			return data
		}
		f.Add(some(30+dice.IntN(30)), some(30+dice.IntN(30)), some(100+dice.IntN(500)))
	}
	about := []map[engine.Kind]int{{engine.Key: 2, engine.Wire: 6, engine.Told: 16, engine.Gate: 2, engine.Link: 1, engine.Battery: 1}}
	f.Fuzz(func(t *testing.T, first, second, bench []byte) {
		if len(first) > 100 || len(second) > 100 || len(bench) > 2000 {
			return
		}
		m := &maker{chooser: &bytesChooser{bench}}
		for _, data := range [][]byte{first, second} {
			m.told = append(m.told, bytesKind(string(data)).spec())
		}
		rules, deeds := benchOf(m, about)
		if err := newPair(rules, false).play(deeds); err != nil {
			t.Fatalf("%v\n%s", err, goBench(rules, deeds))
		}
	})
}
