package search

import (
	"slices"

	"github.com/golang/geo/s1"
	"github.com/golang/geo/s2"

	"heirpress/search/place"
)

// A lot is filed under the S2 cells of these levels that hold its town: from
// about 600 km across to about 2 km.
const (
	topCell    = 4
	bottomCell = 12
	// coverCells is how many cells a disc is covered with, at most: more fit it
	// closer, fewer are quicker to look up.
	coverCells = 20
)

// cellsOf lists the cells that hold a point.
func cellsOf(p place.Point) []string {
	cell := s2.CellIDFromLatLng(s2.LatLngFromDegrees(p.Lat, p.Lng))
	var tokens []string
	for level := topCell; level <= bottomCell; level++ {
		tokens = append(tokens, cell.Parent(level).ToToken())
	}
	return tokens
}

// cover lists cells that together hold every point within a distance of p, in
// a straight line. It returns none for a disc so wide that cells are no help.
func cover(p place.Point, km float64) []string {
	var tokens []string
	for _, cell := range Covering(p, km, topCell, bottomCell, coverCells) {
		tokens = append(tokens, cell.ToToken())
	}
	return tokens
}

// Covering lists S2 cells of levels from top to bottom, at most so many where
// that is possible, that together hold every point within a distance of p in a
// straight line, in kilometres. It returns none for a disc so wide that it takes
// a cell above the top level.
func Covering(p place.Point, km float64, top, bottom, most int) []s2.CellID {
	// A hair wider, so that rounding leaves out no town on the very edge.
	angle := s1.Angle(km/place.EarthRadiusKm*(1+1e-9) + 1e-9)
	disc := s2.CapFromCenterAngle(s2.PointFromLatLng(s2.LatLngFromDegrees(p.Lat, p.Lng)), angle)
	coverer := s2.RegionCoverer{MaxLevel: bottom, MaxCells: most, LevelMod: 1}
	cells := coverer.Covering(disc)
	if slices.ContainsFunc(cells, func(c s2.CellID) bool { return c.Level() < top }) {
		return nil
	}
	return cells
}
