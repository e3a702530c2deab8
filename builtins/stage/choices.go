package stage

import "math/rand/v2"

// Choices are random numbers that bytes choose, one for each choice among few; when they are used up, the same ones each time.
func Choices(data []byte) *rand.Rand { return rand.New(&choices{data, rand.NewPCG(1, 2)}) }

type choices struct {
	data []byte
	rest *rand.PCG
}

func (c *choices) Uint64() uint64 {
	if len(c.data) == 0 {
		return c.rest.Uint64()
	}
	v := uint64(c.data[0]) * 0x0101010101010101 // whichever bits are looked at
	c.data = c.data[1:]
	return v
}
