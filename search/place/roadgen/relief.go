package main

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"heirpress/search/place/internal/sphere"
)

// summit is a place of GeoNames with its height above the sea.
type summit struct {
	at     sphere.Vector
	height float64 // metres
}

// readHeights reads the heights of all places in GeoNames' table, and the towns of
// the countries that the gazetteer covers too thinly for a way through them.
func readHeights(path string) (places []summit, more []town, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		c := strings.Split(lines.Text(), "\t")
		if len(c) != 19 {
			return nil, nil, fmt.Errorf("%s: %d columns, want 19", path, len(c))
		}
		lat, err1 := strconv.ParseFloat(c[4], 64)
		lng, err2 := strconv.ParseFloat(c[5], 64)
		height, err3 := strconv.ParseFloat(c[16], 64)
		population, err4 := strconv.Atoi(c[14])
		if err1 != nil || err2 != nil || err4 != nil {
			return nil, nil, fmt.Errorf("%s: bad numbers in the line of %s", path, c[1])
		}
		at := sphere.Of(lat, lng)
		if err3 == nil && height > -500 {
			places = append(places, summit{at, height})
		}
		if c[8] == "TR" && population >= nodePopulation {
			more = append(more, town{lat: round4(lat), lng: round4(lng), at: sphere.Of(round4(lat), round4(lng)), population: population})
		}
	}
	return places, more, lines.Err()
}

func round4(x float64) float64 { return math.Round(x*1e4) / 1e4 }

// terrain tells how rough the land is from the heights of the places on it.
type terrain struct {
	places []summit
	near   *near
}

func newTerrain(places []summit) *terrain {
	t := &terrain{places: places, near: newNear()}
	for _, s := range places {
		t.near.add(s.at)
	}
	return t
}

// relief is how far, in metres, the places around a point are off a sloping
// plane laid through them: next to nothing on the plains, 50 to 150 in hills,
// several hundred in high mountains.
func (t *terrain) relief(v sphere.Vector) float64 {
	const least, enough, most = 4, 8, 24
	found := t.near.around(v, []float64{25, 50, 100, 200}, enough)
	if len(found) < least {
		return 0
	}
	return t.offPlane(v, found[:min(len(found), most)])
}

// offPlane is the root mean square of the heights off their best plane.
func (t *terrain) offPlane(v sphere.Vector, around []neighbour) float64 {
	lat, lng := v.Degrees()
	east := math.Cos(lat * math.Pi / 180)
	var m [3][4]float64
	rows := make([][4]float64, len(around))
	for i, n := range around {
		la, ln := t.places[n.number].at.Degrees()
		rows[i] = [4]float64{1, la - lat, (ln - lng) * east, t.places[n.number].height}
		for a := range 3 {
			for b := range 4 {
				m[a][b] += rows[i][a] * rows[i][b]
			}
		}
	}
	for a := 1; a < 3; a++ {
		m[a][a] += 0.01 // keeps a plane through places in a line from tipping
	}
	p := solve([][]float64{m[0][:], m[1][:], m[2][:]})
	sum := 0.0
	for _, r := range rows {
		d := r[3] - p[0]*r[0] - p[1]*r[1] - p[2]*r[2]
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(rows)))
}
