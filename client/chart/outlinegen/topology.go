package main

import (
	"encoding/json"
	"slices"

	"heirpress/client/chart/internal/outline"
)

// topology is a TopoJSON file: shapes that share the arcs between them
// (github.com/topojson/topojson-specification).
type topology struct {
	Transform struct {
		Scale, Translate [2]float64
	}
	Arcs    [][][2]float64
	Objects map[string]struct{ Geometries []geometry }
}

type geometry struct {
	Type string
	Arcs json.RawMessage
}

// polygons are the rings of a shape, each a list of arcs; a negative number is
// an arc run backwards.
func (g geometry) polygons() (all [][][]int) {
	switch g.Type {
	case "Polygon":
		var one [][]int
		if json.Unmarshal(g.Arcs, &one) == nil {
			all = append(all, one)
		}
	case "MultiPolygon":
		_ = json.Unmarshal(g.Arcs, &all) // what cannot be read has no rings
	}
	return all
}

// rings are the closed lines of an object.
func (t *topology) rings(object string) (all []outline.Line) {
	for _, g := range t.Objects[object].Geometries {
		for _, polygon := range g.polygons() {
			for _, arcs := range polygon {
				all = append(all, t.line(arcs))
			}
		}
	}
	return all
}

// borders are the arcs that two shapes of an object share: lines between them,
// and not their coasts.
func (t *topology) borders(object string) (all []outline.Line) {
	used := make([]int, len(t.Arcs))
	for _, g := range t.Objects[object].Geometries {
		for _, polygon := range g.polygons() {
			for _, arc := range slices.Concat(polygon...) {
				used[max(arc, ^arc)]++
			}
		}
	}
	for arc, times := range used {
		if times > 1 {
			all = append(all, t.line([]int{arc}))
		}
	}
	return all
}

// line joins arcs, leaving out the point that each shares with the one before.
func (t *topology) line(arcs []int) (line outline.Line) {
	for i, arc := range arcs {
		points := t.points(arc)
		if i > 0 {
			points = points[1:]
		}
		line = append(line, points...)
	}
	return line
}

func (t *topology) points(arc int) (points outline.Line) {
	var x, y float64
	for _, step := range t.Arcs[max(arc, ^arc)] {
		x, y = x+step[0], y+step[1]
		points = append(points, outline.Point{
			Lat: y*t.Transform.Scale[1] + t.Transform.Translate[1],
			Lng: x*t.Transform.Scale[0] + t.Transform.Translate[0],
		})
	}
	if arc < 0 {
		slices.Reverse(points)
	}
	return points
}
