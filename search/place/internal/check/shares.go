package check

import "slices"

// Shares are the middle, the 90th percentile and the worst of some errors, which it
// puts in order; there must be one at least.
func Shares(errors []float64) (half, nine, worst float64) {
	slices.Sort(errors)
	at := func(q float64) float64 { return errors[int(q*float64(len(errors)-1))] }
	return at(0.5), at(0.9), at(1)
}
