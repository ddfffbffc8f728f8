package place

import (
	"math"
	"time"
)

// Span is a time on the road: few drivers are quicker than Low, few slower than
// High.
type Span struct{ Low, High time.Duration }

// pace is how long a vehicle takes: its speed on a long way in km/h, quick and
// slow. The speeds are common practice, without a source.
type pace struct{ quick, slow float64 }

var (
	carPace   = pace{quick: 115, slow: 90}
	truckPace = pace{quick: 100, slow: 65}
)

const (
	// startKm makes short ways slower: getting out of a town and into another
	// takes as long as so many kilometres of open road.
	startKm = 20
	// A car ferry sails at shipSpeed km/h, and takes boardingTime to load and
	// unload.
	shipSpeed    = 30
	boardingTime = 45 * time.Minute
)

// CarHours is how long a car is driven, without stops and without ships.
func CarHours(r Road) Span { return carPace.of(r) }

// TruckHours is how long a loaded truck is driven, without stops and without
// ships. Breaks that the law asks for are in Law.Timetable.
func TruckHours(r Road) Span { return truckPace.of(r) }

func (p pace) of(r Road) Span {
	return Span{Low: r.hoursAt(r.LowKm, p.quick), High: r.hoursAt(r.HighKm, p.slow)}
}

// ShipHours is how long the ferries on a way take, with their loading; 0 where
// there is none.
func ShipHours(r Road) time.Duration {
	if r.ShipKm == 0 {
		return 0
	}
	return boardingTime + inTime(r.ShipKm/shipSpeed)
}

// hoursAt is how long km kilometres of the way take at a speed, the ship apart.
func (r Road) hoursAt(km, speed float64) time.Duration {
	if !(km > 0) || math.IsInf(km, 0) {
		return 0
	}
	return inTime((max(km-r.ShipKm, 0) + startKm) / speed)
}

func inTime(hours float64) time.Duration {
	return time.Duration(hours * float64(time.Hour)).Round(time.Minute)
}

// Law is how long a driver of a heavy vehicle may be at the wheel.
type Law struct {
	// Name says which law it is.
	Name string
	// A break of Break is due after Stretch at the wheel, and a rest of Rest after
	// Day.
	Stretch, Break, Day, Rest time.Duration
}

var (
	// USLaw is 49 CFR 395.3(a): 11 hours at the wheel after 10 off duty, and
	// half an hour's break after 8. Excerpts of the text were seen at FMCSA's
	// Motor Carrier Safety Planner; the 14-hour window and the weekly limits are
	// not reckoned with.
	USLaw = Law{"US 49 CFR 395", 8 * time.Hour, 30 * time.Minute, 11 * time.Hour, 10 * time.Hour}
	// EULaw is Regulation (EC) 561/2006: by article 7 a break of 45 minutes after
	// four and a half hours, by article 6 nine hours a day, by article 8 a daily
	// rest of 11 hours. Its longer days, twice a week, and its weekly limits are
	// not reckoned with. Excerpts of the text were seen.
	EULaw = Law{"EU Regulation 561/2006", 4*time.Hour + 30*time.Minute, 45 * time.Minute, 9 * time.Hour, 11 * time.Hour}
)

// LawBetween is the law for a way between two towns, if it is one of those known
// here: that of the US for a way that touches the US, and that of the EU for ways
// within Europe, where the rules outside of the Union are the same (AETR) or were
// taken over from it (Great Britain).
func LawBetween(a, b Town) (law Law, known bool) {
	switch {
	case a.Country == "US" || b.Country == "US":
		return USLaw, true
	case inEurope(a.Point) && inEurope(b.Point):
		return EULaw, true
	}
	return Law{}, false
}

// inEurope tells Europe from Asia and Africa, roughly: Turkey is in.
func inEurope(p Point) bool { return p.Lng > -30 && p.Lng < 45 && p.Lat > 34.5 }

// Timetable is what a law makes of hours at the wheel.
type Timetable struct {
	// Breaks and Rests are how many of each are due on the way.
	Breaks, Rests int
	// Total is the time from start to end, breaks and rests included.
	Total time.Duration
}

// Timetable says which breaks and rests are due to one driver in so long at the
// wheel. What is due at the very end is not counted.
func (l Law) Timetable(wheel time.Duration) Timetable {
	if wheel <= 0 {
		return Timetable{}
	}
	t := Timetable{Rests: due(wheel, l.Day)}
	last := wheel - time.Duration(t.Rests)*l.Day
	t.Breaks = t.Rests*due(l.Day, l.Stretch) + due(last, l.Stretch)
	t.Total = wheel + time.Duration(t.Breaks)*l.Break + time.Duration(t.Rests)*l.Rest
	return t
}

// due is how many times something is due before the end of a time, once in every
// so long.
func due(all, every time.Duration) int { return int((all - 1) / every) }
