package chart

import (
	"math"

	"heirpress/search/place"
)

// gridStep is how far apart the points are at which the road is asked for, in
// units of the drawing.
const gridStep = 8.0

// grid is how far it is by road to points all over the drawing, in miles; NaN
// where there is no road.
type grid struct {
	columns, rows int
	miles         []float64
}

func newGrid(v view, roadKm func(place.Point) float64) *grid {
	g := &grid{columns: int(math.Ceil(mapWidth/gridStep)) + 3, rows: int(math.Ceil(mapHeight/gridStep)) + 3}
	for row := range g.rows {
		for column := range g.columns {
			miles := math.NaN()
			if p, ok := v.pointAt(g.at(column, row)); ok {
				if km := roadKm(p); !math.IsInf(km, 0) {
					miles = km / place.KmPerMile
				}
			}
			g.miles = append(g.miles, miles)
		}
	}
	return g
}

// at is where a point of the grid is: the first lie a step outside the drawing.
func (g *grid) at(column, row int) xy {
	return xy{float64(column-1) * gridStep, float64(row-1) * gridStep}
}

func (g *grid) of(column, row int) float64 { return g.miles[row*g.columns+column] }

// line is a piece of a contour.
type line struct{ a, b xy }

// contour draws where the way is so many miles long, square by square: each
// square is cut into two triangles, and a line goes through those whose corners
// lie on both sides. Where there is no road there is no line.
func (g *grid) contour(miles float64) [][]xy { return chained(g.pieces(miles)) }

// pieces is a contour in pieces, in no order.
func (g *grid) pieces(miles float64) (lines []line) {
	for row := range g.rows - 1 {
		for column := range g.columns - 1 {
			a, b := corner{g, column, row}, corner{g, column + 1, row}
			c, d := corner{g, column + 1, row + 1}, corner{g, column, row + 1}
			for _, triangle := range [][3]corner{{a, b, c}, {a, c, d}} {
				if l, ok := through(triangle, miles); ok {
					lines = append(lines, l)
				}
			}
		}
	}
	return lines
}

type corner struct {
	grid        *grid
	column, row int
}

func (c corner) miles() float64 { return c.grid.of(c.column, c.row) }
func (c corner) at() xy         { return c.grid.at(c.column, c.row) }

// through is the line of a level through a triangle.
func through(triangle [3]corner, level float64) (line, bool) {
	var ends []xy
	for i, a := range triangle {
		b := triangle[(i+1)%3]
		if b.row < a.row || b.row == a.row && b.column < a.column {
			a, b = b, a // so that both triangles of a side find the same point
		}
		from, to := a.miles(), b.miles()
		if math.IsNaN(from) || math.IsNaN(to) {
			return line{}, false
		}
		if (from < level) != (to < level) {
			share := (level - from) / (to - from)
			ends = append(ends, xy{a.at().x + share*(b.at().x-a.at().x), a.at().y + share*(b.at().y-a.at().y)})
		}
	}
	if len(ends) != 2 {
		return line{}, false
	}
	return line{ends[0], ends[1]}, true
}
