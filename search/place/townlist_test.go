package place_test

import (
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"os"
	"slices"
	"strconv"
	"testing"

	"heirpress/search/place"
)

var townList = flag.String("towns", "", "a CSV of towns (name, country or state, latitude, longitude, with a header) to look for in TestTownList")

// listed is a town of somebody else's list.
type listed struct {
	query string
	at    place.Point
}

func readList(path string) ([]listed, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, err
	}
	var towns []listed
	for _, row := range rows[1:] {
		lat, err1 := strconv.ParseFloat(row[2], 64)
		lng, err2 := strconv.ParseFloat(row[3], 64)
		if err := errors.Join(err1, err2); err != nil {
			return nil, fmt.Errorf("%s: %w", row[0], err)
		}
		towns = append(towns, listed{row[0] + ", " + row[1], place.Point{Lat: lat, Lng: lng}})
	}
	return towns, nil
}

// foundNear tells whether a text leads to a town near a point, or to choices of
// which one lies there.
func foundNear(text string, p place.Point, km float64) bool {
	town, err := place.Find(text)
	towns := []place.Town{town}
	var ambiguous *place.AmbiguousError
	if errors.As(err, &ambiguous) {
		towns, err = ambiguous.Choices, nil
	}
	return err == nil && slices.ContainsFunc(towns, func(t place.Town) bool { return place.GreatCircleKm(p, t.Point) < km })
}

// notTowns are names of time zones that stand for islands and regions, and four
// places of a few hundred people that GeoNames's list of towns has not; of two
// Petersburgs that of Virginia is meant.
var notTowns = []string{
	"Lord Howe, Australia", "Macquarie, Australia", "Lindeman, Australia", "Bermuda, Bermuda", "Canary, Spain",
	"Faroe, Faroe Islands", "Guernsey, Guernsey", "Isle of Man, Isle of Man", "Jersey, Jersey", "Malta, Malta",
	"Bahia Banderas, Mexico", "Chatham, New Zealand", "Miquelon, St Pierre & Miquelon", "Madeira, Portugal",
	"Azores, Portugal", "Sakhalin, Russia", "Kamchatka, Russia", "Longyearbyen, Svalbard & Jan Mayen",
	"St Thomas, Virgin Islands (US)", "Danmarkshavn, Greenland", "Scoresbysund, Greenland", "Thule, Greenland",
	"Eucla, Australia", "Vatican, Vatican City", "Petersburg, United States",
}

// Towns that stand for time zones, from the IANA database of 2026f (public
// domain; zone.tab), which is independent of GeoNames.
func TestTownsOfTimeZones(t *testing.T) {
	towns, err := readList("../../testdata/place/zones.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, town := range towns {
		if !foundNear(town.query, town.at, 40) && !slices.Contains(notTowns, town.query) {
			t.Errorf("%q is not found near %v", town.query, town.at)
		}
	}
}

// TestTownList counts how many of a list of towns are found:
// go test ./search/place -run TownList -v -towns FILE.
func TestTownList(t *testing.T) {
	if *townList == "" {
		t.Skip("no list is given")
	}
	towns, err := readList(*townList)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, town := range towns {
		if foundNear(town.query, town.at, 20) {
			found++
		} else {
			t.Logf("not found: %s", town.query)
		}
	}
	t.Logf("%d of %d towns are found", found, len(towns))
}

// Towns known under a shorter name than GeoNames lists them by, or under that of
// their other language. Positions are from memory.
func TestShortNames(t *testing.T) {
	for text, p := range map[string]place.Point{
		"Hanau":              {Lat: 50.13, Lng: 8.92},
		"Almere":             {Lat: 52.37, Lng: 5.22},
		"Kempten":            {Lat: 47.73, Lng: 10.31},
		"Sion, Switzerland":  {Lat: 46.23, Lng: 7.36},
		"Martigny":           {Lat: 46.10, Lng: 7.07},
		"Middlebury, VT":     {Lat: 44.01, Lng: -73.17},
		"Sudbury, ON":        {Lat: 46.49, Lng: -81.01},
		"Marathon, ON":       {Lat: 48.72, Lng: -86.38},
		"Mondragón, Spain":   {Lat: 43.06, Lng: -2.49},
		"Marbach, Germany":   {Lat: 48.94, Lng: 9.26},
		"Rüsselsheim":        {Lat: 49.99, Lng: 8.41},
		"Turku":              {Lat: 60.45, Lng: 22.27},
		"Jakobstad":          {Lat: 63.67, Lng: 22.70},
		"Pietarsaari":        {Lat: 63.67, Lng: 22.70},
		"Lübbenau":           {Lat: 51.87, Lng: 13.96},
		"Lexington, KY":      {Lat: 38.04, Lng: -84.50},
		"Cape May, NJ":       {Lat: 38.94, Lng: -74.91},
		"Milford, CT":        {Lat: 41.22, Lng: -73.06},
		"Weil am Rhein":      {Lat: 47.59, Lng: 7.61},
		"Bingen, Germany":    {Lat: 49.97, Lng: 7.90},
		"Murten":             {Lat: 46.93, Lng: 7.12},
		"Brixen":             {Lat: 46.72, Lng: 11.66},
		"Kronstadt, Romania": {Lat: 45.65, Lng: 25.61},
	} {
		if !foundNear(text, p, 15) {
			town, err := place.Find(text)
			t.Errorf("%q is %q, %v", text, town.Label(), err)
		}
	}
}
