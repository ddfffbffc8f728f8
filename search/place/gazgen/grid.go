package main

import (
	"math"

	"heirpress/search/place/internal/gaz"
)

type point struct{ lat, lng float64 }

// km is near enough the distance between two points that are close together.
func (p point) km(q point) float64 {
	const degree = 111.195
	east := (p.lng - q.lng) * math.Cos((p.lat+q.lat)/2*math.Pi/180)
	return degree * math.Hypot(p.lat-q.lat, east)
}

// grid finds the towns near a point.
type grid map[[2]int][]*entry

func cell(p point) [2]int {
	return [2]int{int(math.Floor(p.lat * 4)), int(math.Floor(p.lng * 4))}
}

func (g grid) add(e *entry) { g[cell(e.at)] = append(g[cell(e.at)], e) }

// nearest is the nearest town to p that fits, within km kilometres, or nil.
// It looks no further than two cells of a quarter degree away.
func (g grid) nearest(p point, km float64, fits func(*entry) bool) *entry {
	var best *entry
	c := cell(p)
	for lat := c[0] - 2; lat <= c[0]+2; lat++ {
		for lng := c[1] - 2; lng <= c[1]+2; lng++ {
			for _, e := range g[[2]int{lat, lng}] {
				if d := p.km(e.at); d <= km && fits(e) {
					best, km = e, d
				}
			}
		}
	}
	return best
}

// entry is a town on its way into the gazetteer.
type entry struct {
	gaz.Town
	at             point
	key            string
	admin1, admin2 string
	feature        string
	alternates     []string
	gone           bool
}

// answersTo tells whether the town is known by a name with the key.
func (e *entry) answersTo(key string) bool {
	if e.key == key {
		return true
	}
	for _, a := range e.alternates {
		if gaz.Key(a) == key {
			return true
		}
	}
	return false
}
