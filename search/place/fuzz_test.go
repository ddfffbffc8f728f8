package place_test

import (
	"errors"
	"testing"
	"unicode/utf8"

	"heirpress/search/place"
)

// FuzzFind holds Find to what it promises for any text at all: one of its
// three errors, or a town whose label leads back to it.
func FuzzFind(f *testing.F) {
	for _, text := range []string{
		"Dayton, OH", "Dayton Ohio USA", "45402", "45402-1234", "39.76,-84.19", "39.76° N 84.19° W", "near 63.0,-170.0", "95,200",
		"Springfield", "Springfield, Clark County, OH", "Springfield, OH (39.92,-83.81)", "Köln", "Ohio", "Daton, OH", "St. Mary's",
		"Leeds LS1 4AP", "100 Mile House", "Ohio Ohio Ohio", ",,,", "()", "(1,2)", "Łódź", "Москва", "\x80\xff", "Washington, D.C.",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		town, err := place.Find(text)
		if looked, lookErr := place.Look(text); looked != town || (lookErr == nil) != (err == nil) {
			t.Fatalf("Look(%q) is %+v, %v, but Find %+v, %v", text, looked, lookErr, town, err)
		}
		if err != nil {
			checkError(t, err)
			return
		}
		if !town.Point.Valid() || town.Name == "" {
			t.Fatalf("Find(%q) is %+v", text, town)
		}
		if again, err := place.Find(town.Label()); err != nil || again != town {
			t.Fatalf("Find(%q) is %+v, but of its label %q %+v, %v", text, town, town.Label(), again, err)
		}
	})
}

func checkError(t *testing.T, err error) {
	t.Helper()
	var ambiguous *place.AmbiguousError
	var unknown *place.UnknownError
	var bad *place.BadCoordinatesError
	switch {
	case errors.As(err, &ambiguous) && len(ambiguous.Choices) > 1:
	case errors.As(err, &unknown) && len(unknown.Near) <= 5:
	case errors.As(err, &bad):
	default:
		t.Fatalf("unexpected error %#v", err)
	}
	if !utf8.ValidString(err.Error()) {
		t.Fatalf("message is not text: %q", err.Error())
	}
}
