package alerts

import "testing"

// HoldAtMost has a test keep fewer lots in memory as they were.
func HoldAtMost(t *testing.T, lots int) {
	before := mostHeld
	mostHeld = lots
	t.Cleanup(func() { mostHeld = before })
}
