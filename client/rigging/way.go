package rigging

import (
	"time"

	"heirpress/search/place"
)

// Way is the drive from one town of the load to the new home. Kilometres are by
// road, estimated unless they are routed; hours are absent where no road leads.
type Way struct {
	From string `json:"from"`
	To   string `json:"to"`
	// NoRoad is true where no road leads, not even with a ferry.
	NoRoad bool `json:"noRoad,omitempty"`
	// Routed is true where a routing service has found the length.
	Routed bool    `json:"routed,omitempty"`
	Km     float64 `json:"km,omitempty"`
	LowKm  float64 `json:"lowKm,omitempty"`
	HighKm float64 `json:"highKm,omitempty"`
	// FerryKm are by car ferry, FerryHours on board.
	FerryKm    float64 `json:"ferryKm,omitempty"`
	FerryHours float64 `json:"ferryHours,omitempty"`
	// Car and Truck are at the wheel, the truck loaded; WithBreaks is the truck's
	// with one driver and what Law asks of that driver.
	Car        *Hours `json:"car,omitempty"`
	Truck      *Hours `json:"truck,omitempty"`
	Law        string `json:"law,omitempty"`
	WithBreaks *Hours `json:"withBreaks,omitempty"`
	// Border says which customs border is crossed, if one is known to be.
	Border string `json:"border,omitempty"`

	journey place.Journey
}

// Hours is a time from low to high.
type Hours struct {
	LowHours  float64 `json:"lowHours"`
	HighHours float64 `json:"highHours"`
}

func hoursOf(low, high time.Duration) *Hours { return &Hours{low.Hours(), high.Hours()} }

// ways are the drives to the new home, one from each town of the load in the
// load's order, or from the town that the site says. Where the home's town is
// not known there are none.
func (m *move) ways() []Way {
	home := m.site.To.Town
	if home == nil {
		return nil
	}
	var all []Way
	for _, from := range m.towns() {
		all = append(all, wayOf(m.site.journey(from, *home)))
	}
	return all
}

// journey asks whoever the site names, and otherwise package place.
func (s *Site) journey(from, to place.Town) place.Journey {
	if s.Journey != nil {
		return s.Journey(from, to)
	}
	return place.JourneyBetween(from, to)
}

// towns are those that the load is in, each once.
func (m *move) towns() []place.Town {
	if from := m.site.From.Town; from != nil {
		return []place.Town{*from}
	}
	var all []place.Town
	seen := map[string]bool{}
	for _, l := range m.lots {
		if t := l.GetTown(); t.GetPoint() != nil && !seen[t.GetLabel()] {
			seen[t.GetLabel()] = true
			all = append(all, place.TownOf(t))
		}
	}
	return all
}

func wayOf(j place.Journey) Way {
	w := Way{From: j.From.Label(), To: j.To.Label(), NoRoad: j.Road.None, Routed: j.Road.Routed, Border: j.Border, journey: j}
	if j.Road.None {
		return w
	}
	w.Km, w.LowKm, w.HighKm = j.Road.Km, j.Road.LowKm, j.Road.HighKm
	w.FerryKm, w.FerryHours = j.Road.ShipKm, j.Ship.Hours()
	w.Car, w.Truck = hoursOf(j.Car.Low, j.Car.High), hoursOf(j.Truck.Low, j.Truck.High)
	if j.Law != nil {
		w.Law, w.WithBreaks = j.Law.Name, hoursOf(j.Low.Total, j.High.Total)
	}
	return w
}
