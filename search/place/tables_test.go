package place_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"heirpress/search/place"
)

// pair is a row of a check table: two cities and the distance between them.
type pair struct {
	from, to string
	a, b     place.Point
	km       float64
}

func readPairs(t *testing.T, name string) []pair {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "place", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var pairs []pair
	for _, row := range rows[1:] {
		var n [5]float64
		for i := range n {
			if n[i], err = strconv.ParseFloat(row[2+i], 64); err != nil {
				t.Fatal(err)
			}
		}
		pairs = append(pairs, pair{row[0], row[1], place.Point{Lat: n[0], Lng: n[1]}, place.Point{Lat: n[2], Lng: n[3]}, n[4]})
	}
	return pairs
}
