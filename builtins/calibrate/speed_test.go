package calibrate

import "testing"

// BenchmarkFirst is the dearest wait of a calibration: from calibrate() to the first experiment, over all 47 million worlds of the default.
func BenchmarkFirst(b *testing.B) {
	layings()
	for b.Loop() {
		c := begin(b, wide())
		openings.Clear()
		if len(c.proposal().rigs) == 0 {
			b.Fatal("nothing is proposed")
		}
	}
}
