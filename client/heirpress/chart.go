package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"

	"github.com/spf13/pflag"

	"heirpress/client"
	"heirpress/client/chart"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// mapped gathers what a command shows for the map that was asked for with
// --map. Without it nothing is gathered.
type mapped struct {
	path string
	chart.Map
}

func (m *mapped) flag(fs *pflag.FlagSet) {
	fs.StringVar(&m.path, "map", "", "draw what is shown on a map, into this `file`, as out.svg")
}

// from says where the seeker looks from, and how far.
func (m *mapped) from(town *pb.Town, withinKm float64) {
	if m.path == "" || town.GetPoint() == nil {
		return
	}
	origin := townOf(town)
	m.Origin = &origin
	roads := place.From(origin.Point)
	m.RoadKm = func(p place.Point) float64 {
		if road := roads.Road(p); !road.None {
			return road.Km
		}
		return math.Inf(1)
	}
	if withinKm > 0 {
		m.Rings = append(m.Rings, withinKm/place.KmPerMile/2, withinKm/place.KmPerMile)
	}
}

func townOf(t *pb.Town) chart.Town {
	return chart.Town{Name: t.GetName(), Label: t.GetLabel(), Point: place.Point{Lat: t.GetPoint().GetLatitude(), Lng: t.GetPoint().GetLongitude()}}
}

// add puts a lot on the map, once; fit is below 0 where nobody has asked.
func (m *mapped) add(l *pb.Lot, says string, fit float64) {
	mark := chart.Mark{Town: townOf(l.GetTown()), Text: fmt.Sprintf("%s, tag %s%s", l.GetTitle(), l.GetTag(), says), Fit: fit}
	if m.path != "" && l.GetTown().GetPoint() != nil && !slices.Contains(m.Marks, mark) {
		m.Marks = append(m.Marks, mark)
	}
}

// usualRings are the road miles that are drawn where no reach was given.
var usualRings = []float64{50, 100, 250, 500, 1000}

// draw draws the map, if one was asked for. What can be told without it has
// been told: where there is nothing to draw that is said, and is no fault.
func (a *app) draw(m *mapped, title string) error {
	if m.path == "" {
		return nil
	}
	m.Title = title
	if m.Origin != nil && len(m.Rings) == 0 {
		m.Rings = ringsFor(m)
	}
	err := writeMap(m)
	if errors.Is(err, chart.ErrEmpty) {
		a.note("No map was drawn: %s.", err)
		return nil
	}
	if err != nil {
		return fmt.Errorf("--map: %w", err)
	}
	a.note("The map is in %s.", m.path)
	return nil
}

// ringsFor chooses the three rings about the farthest lot.
func ringsFor(m *mapped) []float64 {
	var farthest float64
	for _, mark := range m.Marks {
		if km := m.RoadKm(mark.Town.Point); !math.IsInf(km, 0) {
			farthest = max(farthest, km/place.KmPerMile)
		}
	}
	widest := 0
	for widest < len(usualRings)-1 && usualRings[widest] < farthest {
		widest++
	}
	return usualRings[max(0, widest-2) : widest+1]
}

func writeMap(m *mapped) (err error) {
	if m.Origin == nil && len(m.Marks) == 0 {
		return chart.ErrEmpty
	}
	f, err := os.Create(m.path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return chart.SVG(f, m.Map)
}

// fits puts scored lots on the map, each with its best fit.
func (m *mapped) fits(list *pb.WantedList, scored []client.Fitted) {
	m.from(list.GetTown(), list.GetReachRoadKm())
	best := map[string]bool{}
	for _, f := range scored {
		if name := f.Lot.GetName(); !best[name] {
			best[name] = true
			m.add(f.Lot, fmt.Sprintf(", fit %.0f", f.Fit.GetScore()), f.Fit.GetScore())
		}
	}
}
