package main

import (
	_ "embed"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"heirpress/search/place"
	"heirpress/search/place/internal/roads"
	"heirpress/search/place/internal/sphere"
)

//go:embed links.txt
var linksText string

// link is a line of links.txt.
type link struct {
	kind     string
	from, to town
	km       float64 // 0 is not given
	line     int
}

// readLinks reads the table and finds its towns.
func readLinks(text string) ([]link, error) {
	var links []link
	err := readLines("links.txt", text, func(line int, s string) error {
		l, err := parseLink(s)
		l.line = line
		links = append(links, l)
		return err
	})
	return links, err
}

func parseLink(s string) (l link, err error) {
	fields := strings.Split(s, "|")
	if len(fields) != 5 {
		return l, fmt.Errorf("%d fields, want 5", len(fields))
	}
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	l.kind = fields[0]
	if !strings.Contains(" bridge road ferry ", " "+l.kind+" ") {
		return l, fmt.Errorf("no kind %q: want bridge, road or ferry", l.kind)
	}
	var errA, errB, errKm error
	l.from, errA = findTown(fields[1])
	l.to, errB = findTown(fields[2])
	if fields[3] != "-" {
		l.km, errKm = strconv.ParseFloat(fields[3], 64)
	}
	return l, errors.Join(errA, errB, errKm)
}

func findTown(text string) (town, error) {
	t, err := place.Find(text)
	if err != nil {
		return town{}, err
	}
	return town{lat: t.Point.Lat, lng: t.Point.Lng, at: sphere.Of(t.Point.Lat, t.Point.Lng), population: t.Population}, nil
}

// class is how the graph counts the link. A bridge without a length is measured
// as a great road is.
func (l link) class() roads.Class {
	switch {
	case l.kind == "ferry":
		return roads.Ferry
	case l.km == 0:
		return roads.Highway
	}
	return roads.Link
}
