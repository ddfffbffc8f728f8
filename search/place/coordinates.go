package place

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// snapKm is how near a town a point must be to be taken for that town.
const snapKm = 40

// coordinateForm is a latitude and a longitude in degrees, each with a sign or
// with the letter of its hemisphere.
var coordinateForm = sync.OnceValue(func() *regexp.Regexp {
	const degrees = `([-+−]?\d+(?:\.\d*)?)\s*°?\s*`
	return regexp.MustCompile(`^(?i:near\s+)?` + degrees + `([NSns]?)(?:\s*[,;]\s*|\s+)` + degrees + `([EWew]?)$`)
})

// coordinates reads a text as a point. The point need not be valid.
func coordinates(text string) (p Point, ok bool) {
	if !strings.ContainsAny(text, figures) {
		return Point{}, false
	}
	m := coordinateForm().FindStringSubmatch(text)
	if m == nil {
		return Point{}, false
	}
	return Point{Lat: degrees(m[1], m[2], "S"), Lng: degrees(m[3], m[4], "W")}, true
}

// degrees reads a number of degrees, negative on the far side of the globe.
func degrees(number, side, negative string) float64 {
	// A number too long for a float64 comes back infinite, which is not valid.
	d, _ := strconv.ParseFloat(strings.ReplaceAll(number, "−", "-"), 64)
	if strings.EqualFold(side, negative) {
		return -d
	}
	return d
}

// findPoint is the town near a point, or if there is none the point itself,
// rounded.
func findPoint(query string, p Point) (Town, error) {
	if !p.Valid() {
		return Town{}, &BadCoordinatesError{Query: query}
	}
	rounded := Point{Lat: tenth(p.Lat), Lng: tenth(p.Lng)}
	for _, q := range []Point{p, rounded} {
		if town, km := Nearest(q); km <= snapKm {
			return town, nil
		}
	}
	return Town{Name: fmt.Sprintf("near %.1f,%.1f", rounded.Lat, rounded.Lng), Point: rounded}, nil
}

// tenth rounds to a tenth of a degree, and never to minus zero.
func tenth(degrees float64) float64 { return math.Round(degrees*10)/10 + 0 }
