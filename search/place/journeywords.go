package place

import (
	"fmt"
	"math"
	"time"
)

// Lines say what the journey takes besides its length, each in a line: the ferry,
// hours at the wheel, the breaks that the law asks for, and customs. A length
// says how long the ferry is, in the reader's units. Where no road leads there
// are none.
func (j Journey) Lines(length func(km float64) string) []string {
	if j.Road.None {
		return nil
	}
	var lines []string
	if j.Road.ShipKm > 0 {
		lines = append(lines, length(j.Road.ShipKm)+" of it by car ferry, about "+inHours(j.Ship)+" with the loading; ask whether it takes the vehicle and the load")
	}
	wheel := "at the wheel: a car " + j.Car.String() + ", a loaded truck " + j.Truck.String()
	breaks := j.breaks()
	if j.Law != nil && breaks == "" {
		wheel += "; no break is due (" + j.Law.Name + ")"
	}
	lines = append(lines, wheel)
	if breaks != "" {
		lines = append(lines, breaks)
	}
	if j.Border != "" {
		lines = append(lines, "it crosses a customs border, "+j.Border+": ask customs or a broker which papers the load and the vehicle need")
	}
	return lines
}

// breaks says what the law asks of the truck's driver; empty where that is
// nothing, or no law is known.
func (j Journey) breaks() string {
	if j.Law == nil || j.High.Breaks+j.High.Rests == 0 {
		return ""
	}
	return "the truck with one driver, and the breaks that " + j.Law.Name + " asks for where it holds (" +
		inHours(j.Law.Break) + " after " + inHours(j.Law.Stretch) + " at the wheel, " + inHours(j.Law.Rest) + " after " + inHours(j.Law.Day) + "): " +
		Span{Low: j.Low.Total, High: j.High.Total}.String()
}

// String writes a time from low to high: "3 to 4½ hours".
func (s Span) String() string {
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
