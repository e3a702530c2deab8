package picture

import "math"

// mostTicks is how many places along an axis get a number.
const mostTicks = 6

// ticks are the places along an axis that get a number: multiples of 1, 2 or 5 times a power of ten, whole ones where all values are whole.
func ticks(lo, hi float64, whole bool) (at []float64) {
	rough := (hi - lo) / (mostTicks - 1)
	power := math.Pow(10, math.Floor(math.Log10(rough)))
	step := 10 * power
	for _, f := range []float64{1, 2, 5} {
		if f*power >= rough {
			step = f * power
			break
		}
	}
	if whole {
		step = max(step, 1)
	}
	const slack = 1e-9 // of a step: sums of fractions are not exact
	for k := math.Ceil(lo/step - slack); k*step <= hi+slack*step && len(at) <= mostTicks; k++ {
		at = append(at, k*step)
	}
	return at
}
