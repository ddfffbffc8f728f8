package place_test

import (
	"errors"
	"fmt"

	"heirpress/search/place"
)

func ExampleFind() {
	for _, text := range []string{"dayton ohio", "45402", "Cologne", "39.76,-84.19"} {
		town, err := place.Find(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(town.LongLabel())
	}
	// Output:
	// Dayton, Montgomery County, OH, United States
	// Dayton, Montgomery County, OH, United States
	// Köln, Regierungsbezirk Köln, North Rhine-Westphalia, Germany
	// Dayton, Montgomery County, OH, United States
}

func ExampleFind_choices() {
	_, err := place.Find("Vancouver")
	var ambiguous *place.AmbiguousError
	if errors.As(err, &ambiguous) {
		for _, town := range ambiguous.Choices {
			fmt.Println(town.LongLabel())
		}
	}
	// Output:
	// Vancouver, Metro Vancouver Regional District, BC, Canada
	// Vancouver, Clark County, WA, United States
}

func ExampleRoadKm() {
	dayton, _ := place.Find("Dayton, OH")
	boston, _ := place.Find("Boston, MA")
	road := place.RoadKm(dayton.Point, boston.Point)
	fmt.Printf("about %.0f miles (%.0f to %.0f)\n", road.Km/place.KmPerMile, road.LowKm/place.KmPerMile, road.HighKm/place.KmPerMile)
	// Output:
	// about 829 miles (785 to 874)
}
