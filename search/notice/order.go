package notice

import "cmp"

// Order compares two alerts that are told together, by whether they are urgent
// and how well they fit: negative if the first is told first. The urgent come
// first, and then the best fit.
func Order(urgentA bool, fitA float64, urgentB bool, fitB float64) int {
	switch {
	case urgentA && !urgentB:
		return -1
	case urgentB && !urgentA:
		return 1
	}
	return cmp.Compare(fitB, fitA)
}
