package deliver

import (
	"fmt"
	"regexp"
	"strconv"
	"time"
)

// quiet are the hours in which no e-mail is sent, as minutes of the day on the
// seeker's clock: from is in, until is out. Where both are the same there are
// none.
type quiet struct{ from, until int }

var timeOfDay = regexp.MustCompile(`^([01]?[0-9]|2[0-3]):([0-5][0-9])$`)

// parseTimeOfDay reads "22:00" as minutes of the day.
func parseTimeOfDay(text string) (int, error) {
	m := timeOfDay.FindStringSubmatch(text)
	if m == nil {
		return 0, fmt.Errorf("is %q: write a time of day as 22:00", text)
	}
	hours, _ := strconv.Atoi(m[1])
	minutes, _ := strconv.Atoi(m[2])
	return hours*60 + minutes, nil
}

// holds tells whether a moment, on the clock it is given in, lies in the hours.
func (q quiet) holds(t time.Time) bool {
	minute := t.Hour()*60 + t.Minute()
	if q.from <= q.until {
		return minute >= q.from && minute < q.until
	}
	return minute >= q.from || minute < q.until
}

// after is the first moment from t on that is not quiet. It goes by the clock on
// the wall, minute after minute: so it is right on the days on which that clock
// is set forward or back, whatever the hours.
func (q quiet) after(t time.Time) time.Time {
	if !q.holds(t) {
		return t
	}
	for t = t.Truncate(time.Minute).Add(time.Minute); q.holds(t); {
		t = t.Add(time.Minute)
	}
	return t
}

// digestHour is when digests go, on the seeker's clock, and weekly ones on
// digestDay. Design choices.
const (
	digestHour = 8
	digestDay  = time.Monday
)

// day is a date on a calendar.
type day struct {
	year  int
	month time.Month
	day   int
}

func dayOf(t time.Time) day {
	y, m, d := t.Date()
	return day{y, m, d}
}

// digestOn is when digests go on a day; at the end of it where the clock is set
// forward over that hour.
func (d day) digestOn(in *time.Location) time.Time {
	return time.Date(d.year, d.month, d.day, digestHour, 0, 0, 0, in)
}

func (d day) next() day {
	return dayOf(time.Date(d.year, d.month, d.day+1, 12, 0, 0, 0, time.UTC))
}

// nextDaily is the first daily digest after t.
func nextDaily(t time.Time) time.Time {
	for d := dayOf(t); ; d = d.next() {
		if at := d.digestOn(t.Location()); at.After(t) {
			return at
		}
	}
}

// nextWeekly is the first weekly digest after t.
func nextWeekly(t time.Time) time.Time {
	for t = nextDaily(t); t.Weekday() != digestDay; {
		t = nextDaily(t)
	}
	return t
}
