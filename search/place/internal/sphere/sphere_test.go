package sphere

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A point comes back from its vector, and half of the way to another is as far
// from either.
func TestVectors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lng := rapid.Float64Range(-89, 89), rapid.Float64Range(-179, 179)
		a, b := lat.Draw(t, "lat"), lng.Draw(t, "lng")
		v, w := Of(a, b), Of(lat.Draw(t, "other lat"), lng.Draw(t, "other lng"))
		if y, x := v.Degrees(); math.Abs(y-a) > 1e-9 || math.Abs(x-b) > 1e-9 {
			t.Fatalf("%v, %v came back as %v, %v", a, b, y, x)
		}
		half := v.Toward(w, 0.5)
		if there, back := half.Chord2(v), half.Chord2(w); math.Abs(there-back) > 1e-12 || math.Abs(4*there-v.Chord2(w)) > 1e-12 {
			t.Fatalf("half of the way is %v from one and %v from the other", there, back)
		}
	})
}

func TestAngle(t *testing.T) {
	for _, test := range []struct {
		v, w Vector
		want float64
	}{
		{Of(0, 0), Of(0, 1), math.Pi / 180},
		{Of(90, 17), Of(-90, -140), math.Pi},
		{Of(0, 179.5), Of(0, -179.5), math.Pi / 180},
		{Of(51, 7), Of(51, 7), 0},
	} {
		if got := test.v.Angle(test.w); math.Abs(got-test.want) > 1e-12 {
			t.Errorf("%v to %v: %v, want %v", test.v, test.w, got, test.want)
		}
	}
}
