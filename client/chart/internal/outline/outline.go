// Package outline is how the outlines of a map are kept in a file: points to a
// hundredth of a degree, about a kilometre, each as the step from the one before.
package outline

import (
	"encoding/binary"
	"errors"
	"math"
)

// Point is a place on the globe, in degrees.
type Point struct{ Lat, Lng float64 }

// Line is a run of points. A ring ends where it begins.
type Line []Point

// Set is all the outlines of a map.
type Set struct {
	Land    []Line // rings: coasts, the land within
	Lakes   []Line // rings
	Borders []Line // between countries
	States  []Line // between states and provinces
}

// perDegree is how many steps there are to a degree.
const perDegree = 100

// Pack writes a set. Lines that come to a single point are left out.
func Pack(s Set) []byte {
	var b []byte
	for _, lines := range [][]Line{s.Land, s.Lakes, s.Borders, s.States} {
		b = appendLines(b, lines)
	}
	return b
}

func appendLines(b []byte, lines []Line) []byte {
	var kept [][][2]int64
	for _, line := range lines {
		if steps := stepsOf(line); len(steps) > 1 {
			kept = append(kept, steps)
		}
	}
	b = binary.AppendUvarint(b, uint64(len(kept)))
	for _, steps := range kept {
		b = binary.AppendUvarint(b, uint64(len(steps)))
		for _, step := range steps {
			b = binary.AppendVarint(binary.AppendVarint(b, step[0]), step[1])
		}
	}
	return b
}

// stepsOf is a line as steps, the first from 0, 0; points that fall together
// are one.
func stepsOf(line Line) (steps [][2]int64) {
	var lat, lng int64
	for i, p := range line {
		north, east := int64(math.Round(p.Lat*perDegree)), int64(math.Round(p.Lng*perDegree))
		if i == 0 || north != lat || east != lng {
			steps = append(steps, [2]int64{north - lat, east - lng})
		}
		lat, lng = north, east
	}
	return steps
}

var errCutShort = errors.New("outlines: the file is cut short or not one of outlines")

// Unpack reads what Pack wrote.
func Unpack(b []byte) (s Set, err error) {
	r := reader{rest: b}
	for _, lines := range []*[]Line{&s.Land, &s.Lakes, &s.Borders, &s.States} {
		*lines = r.lines()
	}
	if r.failed || len(r.rest) > 0 {
		return Set{}, errCutShort
	}
	return s, nil
}

type reader struct {
	rest   []byte
	failed bool
}

func (r *reader) lines() []Line {
	var all []Line
	for n := r.count(); n > 0 && !r.failed; n-- {
		all = append(all, r.line())
	}
	return all
}

func (r *reader) line() Line {
	n := r.count()
	if r.failed {
		return nil
	}
	line := make(Line, 0, n)
	var lat, lng int64
	for ; n > 0 && !r.failed; n-- {
		lat, lng = lat+r.step(), lng+r.step()
		line = append(line, Point{float64(lat) / perDegree, float64(lng) / perDegree})
	}
	return line
}

// count reads how many things follow; each takes a byte at least.
func (r *reader) count() uint64 {
	n, size := binary.Uvarint(r.rest)
	if size <= 0 || n > uint64(len(r.rest)) {
		r.failed = true
		return 0
	}
	r.rest = r.rest[size:]
	return n
}

func (r *reader) step() int64 {
	n, size := binary.Varint(r.rest)
	if size <= 0 {
		r.failed = true
		return 0
	}
	r.rest = r.rest[size:]
	return n
}
