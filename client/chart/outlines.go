package chart

import (
	_ "embed"
	"math"
	"sync"

	"heirpress/client/chart/internal/outline"
	"heirpress/search/place"
)

//go:generate go run ./outlinegen -npm $NPM -o outlines.bin

//go:embed outlines.bin
var outlinesFile []byte

// Attribution says whose the outlines are.
const Attribution = "Outlines: Natural Earth, 1:50 million, public domain."

// outlines are read when the first map is drawn.
var outlines = sync.OnceValue(func() outline.Set {
	set, err := outline.Unpack(outlinesFile)
	if err != nil {
		panic(err) // The file is part of the program, and a test reads it.
	}
	return set
})

// farKm is from where on an outline is left out: it cannot be in a view, and
// what lies about the point opposite its middle would be turned inside out.
const farKm = 15_000

// drawn is a line of outlines as it is drawn; nothing if all of it is far.
func (v view) drawn(l outline.Line) []xy {
	middle := place.Point{Lat: v.projection.lat / radians, Lng: math.Remainder(v.projection.lng/radians, 360)}
	near := false
	points := make([]xy, len(l))
	for i, p := range l {
		at := place.Point(p)
		near = near || place.GreatCircleKm(middle, at) < farKm
		points[i] = v.at(at)
	}
	if !near {
		return nil
	}
	return points
}
