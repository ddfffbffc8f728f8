package main

import (
	"encoding/json"
	"fmt"
	"os"
)

// ring is a closed line of positions.
type ring []position

type position struct{ lng, lat float64 }

// topology is as much of a TopoJSON file as outlines need.
type topology struct {
	Transform struct{ Scale, Translate [2]float64 }
	Objects   map[string]geometry
	Arcs      [][][2]int
}

type geometry struct {
	Type       string
	ID         string
	Arcs       json.RawMessage
	Geometries []geometry
}

func readTopology(path string) (*topology, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	t := new(topology)
	if err := json.Unmarshal(data, t); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return t, nil
}

// rings are all the rings of an object, outer and inner alike: by the even-odd
// rule what they enclose is the same. With an id only those of the part so called.
func (t *topology) rings(object, id string) ([]ring, error) {
	g, ok := t.Objects[object]
	if !ok {
		return nil, fmt.Errorf("roadgen: no object %q", object)
	}
	if id == "" {
		return t.geometryRings(g)
	}
	for _, part := range g.Geometries {
		if part.ID == id {
			return t.geometryRings(part)
		}
	}
	return nil, fmt.Errorf("roadgen: no %s in the object %q", id, object)
}

func (t *topology) geometryRings(g geometry) ([]ring, error) {
	switch g.Type {
	case "GeometryCollection":
		var all []ring
		for _, part := range g.Geometries {
			rings, err := t.geometryRings(part)
			if err != nil {
				return nil, err
			}
			all = append(all, rings...)
		}
		return all, nil
	case "Polygon":
		var arcs [][]int
		err := json.Unmarshal(g.Arcs, &arcs)
		return t.join(arcs), err
	case "MultiPolygon":
		var polygons [][][]int
		if err := json.Unmarshal(g.Arcs, &polygons); err != nil {
			return nil, err
		}
		var all []ring
		for _, arcs := range polygons {
			all = append(all, t.join(arcs)...)
		}
		return all, nil
	}
	return nil, nil
}

// join puts each ring together from its arcs; a negative number is an arc taken
// backwards.
func (t *topology) join(arcs [][]int) []ring {
	var rings []ring
	for _, list := range arcs {
		var r ring
		for _, n := range list {
			if n >= 0 {
				r = append(r, t.line(n)...)
				continue
			}
			line := t.line(^n)
			for i := len(line) - 1; i >= 0; i-- {
				r = append(r, line[i])
			}
		}
		rings = append(rings, r)
	}
	return rings
}

// line is an arc in degrees: its numbers are each the step from the one before.
func (t *topology) line(n int) []position {
	var x, y int
	line := make([]position, len(t.Arcs[n]))
	for i, step := range t.Arcs[n] {
		x, y = x+step[0], y+step[1]
		line[i] = position{
			lng: float64(x)*t.Transform.Scale[0] + t.Transform.Translate[0],
			lat: float64(y)*t.Transform.Scale[1] + t.Transform.Translate[1],
		}
	}
	return line
}
