package chart

import "heirpress/search/place"

// Map is what is to be drawn.
type Map struct {
	// Title says what the map shows, in a line.
	Title string
	// Origin is where the seeker is; nil for nowhere in particular.
	Origin *Town
	// Rings are road miles from the origin, each drawn as a line.
	Rings []float64
	// RoadKm is how far a point is from the origin by road, or infinite. It is
	// asked many times.
	RoadKm func(place.Point) float64
	// Marks are the lots, the best first.
	Marks []Mark
}

// Town is a town on the map: its public point, and what it is called.
type Town struct {
	// Name is the town alone, and Label the town with its state or country.
	Name, Label string
	// Point is where the gazetteer has it.
	Point place.Point
}

// Mark is one lot on the map.
type Mark struct {
	// Town is where it is.
	Town Town
	// Text says what it is, in a line.
	Text string
	// Fit is how well it fits, 0 to 100; below 0 where nobody has asked.
	Fit float64
}

// spot is a town on the map, with all the lots in it.
type spot struct {
	town  Town
	at    xy
	marks []Mark
	fit   float64 // of the best
}

// spots gathers the marks by town, in the order of the first of each.
func spots(marks []Mark, v view) (all []*spot) {
	seen := map[place.Point]*spot{}
	for _, m := range marks {
		s := seen[m.Town.Point]
		if s == nil {
			s = &spot{town: m.Town, at: v.at(m.Town.Point), fit: m.Fit}
			seen[m.Town.Point] = s
			all = append(all, s)
		}
		s.marks, s.fit = append(s.marks, m), max(s.fit, m.Fit)
	}
	return all
}
