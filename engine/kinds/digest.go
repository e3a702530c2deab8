package kinds

import "math/bits"

// Digest is a sum that depends on the order of what is added.
type Digest uint64

// Add gives the sum with more in it.
func (h Digest) Add(xs ...uint64) Digest {
	for _, x := range xs {
		hi, lo := bits.Mul64(uint64(h)^0x9e3779b97f4a7c15, x^0xd6e8feb86659fd93)
		h = Digest(bits.RotateLeft64(hi^lo, 29) + 0xa0761d6478bd642f)
	}
	return h
}

// Bit is 1 for true.
func Bit(x bool) uint64 {
	if x {
		return 1
	}
	return 0
}
