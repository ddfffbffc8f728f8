package place_test

import (
	"errors"
	"testing"

	"heirpress/search/place"
)

// Looking up what no town is called gives no near spellings, and what is no
// town but a state is still said.
func TestLook(t *testing.T) {
	var unknown *place.UnknownError
	if _, err := place.Look("Daytonn, OH"); !errors.As(err, &unknown) || unknown.Near != nil || unknown.Query != "Daytonn, OH" {
		t.Errorf("a name that no town has: %v", err)
	}
	if _, err := place.Look("Ohio"); !errors.As(err, &unknown) || unknown.Instead != "a state of the United States" || unknown.Near[0].Label() != "Columbus, OH" {
		t.Errorf("a state: %v", err)
	}
	if town, err := place.Look("Dayton, OH"); err != nil || town.Label() != "Dayton, OH" {
		t.Errorf("a town: %v, %v", town, err)
	}
}

// The largest town of a country is not the largest of each of its regions.
func TestLargestTown(t *testing.T) {
	for name, want := range map[string]string{"France": "Paris, France", "Texas": "Houston, TX", "Scotland": "Glasgow, Scotland", "Ontario": "Toronto, ON"} {
		var unknown *place.UnknownError
		if _, err := place.Find(name); !errors.As(err, &unknown) || unknown.Near[0].Label() != want {
			t.Errorf("%s: %v, not %s", name, err, want)
		}
	}
}
