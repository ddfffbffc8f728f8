package place

import "time"

// Journey is a way by road between two towns, with what it takes to drive it.
type Journey struct {
	From, To Town
	Road     Road
	// Car and Truck are at the wheel, without stops; zero where no road leads.
	Car, Truck Span
	// Ship is on board of ferries, with their loading.
	Ship time.Duration
	// Law is that of a heavy vehicle's driver on this way; nil if it is none of
	// those known here.
	Law *Law
	// Low and High are the truck's with one driver, breaks and rests included;
	// zero without a law.
	Low, High Timetable
	// Border says which customs border is crossed: "from the United States into
	// Canada". It is empty if none is known to be.
	Border string
}

// JourneyBetween is the journey between two towns.
func JourneyBetween(from, to Town) Journey {
	return NewJourney(from, to, RoadKm(from.Point, to.Point))
}

// NewJourney is the journey between two towns by a way that is known.
func NewJourney(from, to Town, road Road) Journey {
	j := Journey{From: from, To: to, Road: road}
	if road.None {
		return j
	}
	j.Car, j.Truck, j.Ship = CarHours(road), TruckHours(road), ShipHours(road)
	j.Border = border(from, to)
	if law, known := LawBetween(from, to); known {
		j.Law = &law
		j.Low, j.High = law.Timetable(j.Truck.Low), law.Timetable(j.Truck.High)
	}
	return j
}
