package main

import (
	"fmt"
	"math"
	"time"

	"heirpress/search/place"
)

// hours says how long the way takes, and what the law asks of a driver on it.
func hours(road place.Road, from, to place.Town) string {
	truck := place.TruckHours(road)
	said := "at the wheel: a car " + span(place.CarHours(road)) + ", a loaded truck " + span(truck)
	law, known := place.LawBetween(from, to)
	if !known {
		return said
	}
	low, high := law.Timetable(truck.Low), law.Timetable(truck.High)
	if high.Breaks+high.Rests == 0 {
		return said + "; no break is due (" + law.Name + ")"
	}
	return said + "\nthe truck with one driver, and the breaks that " + law.Name + " asks for where it holds (" +
		inHours(law.Break) + " after " + inHours(law.Stretch) + " at the wheel, " + inHours(law.Rest) + " after " + inHours(law.Day) + "): " +
		span(place.Span{Low: low.Total, High: high.Total})
}

// span writes a time from low to high: "3 to 4½ hours".
func span(s place.Span) string {
	low, high := halves(s.Low), halves(s.High)
	if low == high {
		return inHours(s.Low)
	}
	return low + " to " + high + " hours"
}

// halves writes hours to the nearest half.
func halves(d time.Duration) string {
	n := max(1, int(math.Round(2*d.Hours())))
	switch {
	case n%2 == 0:
		return fmt.Sprint(n / 2)
	case n == 1:
		return "½"
	}
	return fmt.Sprint(n/2) + "½"
}

// inHours writes what a law says: "45 minutes", "4½ hours".
func inHours(d time.Duration) string {
	switch h := halves(d); {
	case d < time.Hour && d%(30*time.Minute) != 0:
		return fmt.Sprintf("%.0f minutes", d.Minutes())
	case h == "½":
		return "half an hour"
	case h == "1":
		return "an hour"
	default:
		return h + " hours"
	}
}
