package engine_test

import (
	"math/rand/v2"
	"testing"
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
