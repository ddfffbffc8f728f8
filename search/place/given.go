package place

import "strings"

// IsCoordinates tells whether a place was given as coordinates and not as a
// name. Whoever keeps what a person typed must not keep those: they may be the
// very house.
func IsCoordinates(text string) bool {
	_, ok := coordinates(strings.TrimSpace(text))
	return ok
}
