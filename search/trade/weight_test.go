package trade

import (
	"math"
	"testing"
)

// The most is the upper end of a range, and the weight itself where there is one.
func TestParseMostKg(t *testing.T) {
	for text, want := range map[string]float64{"100 kg": 100, "50-80 kg": 80, "0.5 kg": 0.5} {
		if got, err := ParseMostKg(text); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, %v, want %v", text, got, err, want)
		}
	}
	if _, err := ParseMostKg("heavy"); err == nil {
		t.Error("heavy is a weight")
	}
}
