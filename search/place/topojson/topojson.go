// Package topojson reads the outlines in a TopoJSON file: shapes that share the
// arcs between them (github.com/topojson/topojson-specification). It reads files
// whose arcs are whole numbers, each the step from the one before.
package topojson

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
)

// Point is a position in degrees.
type Point struct{ Lng, Lat float64 }

// Line is a run of points. A ring ends where it begins.
type Line []Point

// Topology is as much of a file as outlines need.
type Topology struct {
	Transform struct{ Scale, Translate [2]float64 }
	Objects   map[string]Geometry
	Arcs      [][][2]int
}

// Geometry is a shape, or a collection of shapes.
type Geometry struct {
	Type       string
	ID         string
	Arcs       json.RawMessage
	Geometries []Geometry
}

// Read reads a file. The error names it.
func Read(path string) (*Topology, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	t := new(Topology)
	if err := json.Unmarshal(data, t); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return t, nil
}

// Rings are all the rings of an object, outer and inner alike. With an id they are
// only those of the shape so called.
func (t *Topology) Rings(object, id string) (all []Line, err error) {
	polygons, err := t.polygons(object, id)
	for _, polygon := range polygons {
		for _, arcs := range polygon {
			all = append(all, t.line(arcs))
		}
	}
	return all, err
}

// Borders are the arcs that two shapes of an object share: lines between them, and
// not their coasts.
func (t *Topology) Borders(object string) (all []Line, err error) {
	polygons, err := t.polygons(object, "")
	used := make([]int, len(t.Arcs))
	for _, polygon := range polygons {
		for _, arc := range slices.Concat(polygon...) {
			used[max(arc, ^arc)]++
		}
	}
	for arc, times := range used {
		if times > 1 {
			all = append(all, t.line([]int{arc}))
		}
	}
	return all, err
}

// polygons are those of an object, or of its shape with an id: each a list of
// rings, each a list of arcs. A negative number is an arc run backwards.
func (t *Topology) polygons(object, id string) ([][][]int, error) {
	g, ok := t.Objects[object]
	if !ok {
		return nil, fmt.Errorf("topojson: no object %q", object)
	}
	if id == "" {
		return g.polygons()
	}
	for _, part := range g.Geometries {
		if part.ID == id {
			return part.polygons()
		}
	}
	return nil, fmt.Errorf("topojson: no %s in the object %q", id, object)
}

func (g Geometry) polygons() (all [][][]int, err error) {
	switch g.Type {
	case "Polygon":
		all = make([][][]int, 1)
		err = json.Unmarshal(g.Arcs, &all[0])
	case "MultiPolygon":
		err = json.Unmarshal(g.Arcs, &all)
	case "GeometryCollection":
		for _, part := range g.Geometries {
			polygons, err := part.polygons()
			if err != nil {
				return nil, err
			}
			all = append(all, polygons...)
		}
	}
	return all, err
}

// line joins arcs, leaving out the point that each shares with the one before.
func (t *Topology) line(arcs []int) (line Line) {
	for i, arc := range arcs {
		points := t.points(arc)
		if i > 0 {
			points = points[1:]
		}
		line = append(line, points...)
	}
	return line
}

// points are those of an arc, in degrees.
func (t *Topology) points(arc int) (points Line) {
	var x, y int
	for _, step := range t.Arcs[max(arc, ^arc)] {
		x, y = x+step[0], y+step[1]
		points = append(points, Point{
			Lng: float64(x)*t.Transform.Scale[0] + t.Transform.Translate[0],
			Lat: float64(y)*t.Transform.Scale[1] + t.Transform.Translate[1],
		})
	}
	if arc < 0 {
		slices.Reverse(points)
	}
	return points
}
