package place

import (
	"math"
	"sync"

	"heirpress/search/place/internal/gaz"
)

// Nearest is the town nearest to a point and how many kilometres off it is. It
// passes over places known only from the post, which are mostly hamlets: to put
// somebody in a hamlet would say too nearly where they live. A point that is not
// valid is nearest to nothing, and the distance is NaN.
func Nearest(p Point) (Town, float64) {
	if !p.Valid() {
		return Town{}, math.NaN()
	}
	town, km := townGrid().nearest(p)
	return townAt(town), km
}

// grid holds the towns by squares of half a degree: those of cell c are
// towns[start[c]:start[c+1]].
type grid struct {
	start []int32
	towns []int32
}

const (
	cellsPerDegree = 2
	gridRows       = 180 * cellsPerDegree
	gridColumns    = 360 * cellsPerDegree
)

// townGrid is built when a point is first looked up; it takes a few
// milliseconds.
var townGrid = sync.OnceValue(func() *grid {
	return gridOf(func(r gaz.Record) bool { return !r.Postal })
})

// gridOf is a grid of the towns that are meant.
func gridOf(meant func(gaz.Record) bool) *grid {
	g := gazetteer()
	cells := make([]int32, g.Len())
	start := make([]int32, gridRows*gridColumns+1)
	for town := range cells {
		r := g.Record(town)
		if !meant(r) {
			cells[town] = -1
			continue
		}
		cells[town] = int32(gridRow(r.Lat)*gridColumns + gridColumn(r.Lng))
		start[cells[town]+1]++
	}
	for c := 1; c < len(start); c++ {
		start[c] += start[c-1]
	}
	return &grid{start: start, towns: fillGrid(cells, start)}
}

func fillGrid(cells, start []int32) []int32 {
	next := append([]int32(nil), start...)
	towns := make([]int32, start[len(start)-1])
	for town, c := range cells {
		if c >= 0 {
			towns[next[c]] = int32(town)
			next[c]++
		}
	}
	return towns
}

func gridRow(lat float64) int    { return min(int((lat+90)*cellsPerDegree), gridRows-1) }
func gridColumn(lng float64) int { return int((lng+180)*cellsPerDegree) % gridColumns }

// seeker looks for the town nearest to a point.
type seeker struct {
	*grid
	from Point
	town int
	km   float64
}

// nearest goes through the rows outward from the point's own, and through each
// row outward from its column, until what is left is all too far.
func (g *grid) nearest(p Point) (town int, km float64) {
	s := seeker{grid: g, from: p, km: math.Inf(1)}
	row := gridRow(p.Lat)
	for d := range gridRows {
		// Every town in a row d away is at least d-1 whole rows off.
		if s.km < float64(d-1)/cellsPerDegree*kmPerDegree {
			break
		}
		s.searchRow(row - d)
		if d > 0 {
			s.searchRow(row + d)
		}
	}
	return s.town, s.km
}

const kmPerDegree = EarthRadiusKm * math.Pi / 180

func (s *seeker) searchRow(row int) {
	if row < 0 || row >= gridRows {
		return
	}
	column := gridColumn(s.from.Lng)
	for d := 0; d <= gridColumns/2; d++ {
		if s.km < s.meridianKm(float64(d-1)/cellsPerDegree) {
			return
		}
		s.searchCell(row*gridColumns + (column+d)%gridColumns)
		if d > 0 {
			s.searchCell(row*gridColumns + (column-d+gridColumns)%gridColumns)
		}
	}
}

// meridianKm is the least distance to any point whose longitude differs by so
// many degrees or more: that to the meridian, or past a right angle to the pole.
func (s *seeker) meridianKm(degrees float64) float64 {
	const rad = math.Pi / 180
	switch {
	case degrees <= 0:
		return 0
	case degrees >= 90:
		return (90 - math.Abs(s.from.Lat)) * kmPerDegree
	}
	return EarthRadiusKm * math.Asin(math.Cos(s.from.Lat*rad)*math.Sin(degrees*rad))
}

func (s *seeker) searchCell(cell int) {
	for _, town := range s.towns[s.start[cell]:s.start[cell+1]] {
		if km := kmFrom(s.from, int(town)); km < s.km {
			s.town, s.km = int(town), km
		}
	}
}
