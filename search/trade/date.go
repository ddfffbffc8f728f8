package trade

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

const dateHelp = "write it as 2026-11-25 or 25 Nov 2026"

var (
	yearFirstRE = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$`)
	yearLastRE  = regexp.MustCompile(`^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})$`)
	dayMonthRE  = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?[ -](?:of )?([a-z]+)\.?,?[ -](\d{4})$`)
	monthDayRE  = regexp.MustCompile(`^([a-z]+)\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})$`)
)

// ParseDate reads a day: "2026-11-25", "25 Nov 2026", "November 25, 2026". In
// figures, with the year last, it is read only where just one reading is a day
// of the calendar: 25/11/2026 is, 3/4/2026 could be two days and is refused.
// The error is a *ParseError.
func ParseDate(text string) (*pb.Date, error) {
	t := plain(text)
	if m := yearFirstRE.FindStringSubmatch(t); m != nil {
		return calendarDay(text, m[1], m[2], m[3])
	}
	if m := dayMonthRE.FindStringSubmatch(t); m != nil {
		return calendarDay(text, m[3], monthNumber(m[2]), m[1])
	}
	if m := monthDayRE.FindStringSubmatch(t); m != nil {
		return calendarDay(text, m[3], monthNumber(m[1]), m[2])
	}
	if m := yearLastRE.FindStringSubmatch(t); m != nil {
		return yearLast(text, m)
	}
	return nil, misread(text, "a day", dateHelp)
}

// yearLast reads a/b/year, which is day/month or month/day.
func yearLast(text string, m []string) (*pb.Date, error) {
	british, errB := calendarDay(text, m[3], m[2], m[1])
	american, errA := calendarDay(text, m[3], m[1], m[2])
	switch {
	case errB != nil:
		return american, errA
	case errA != nil || british.Month == american.Month:
		return british, nil
	}
	return nil, misread(text, "one day", "it could be %s or %s; %s", FormatDate(british), FormatDate(american), dateHelp)
}

// monthNumber is the month in figures, or "" for a word that is no month. A
// month may be shortened to three letters or more.
func monthNumber(word string) string {
	for m := time.January; m <= time.December; m++ {
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(m.String()), word) || word == "sept" && m == time.September {
			return strconv.Itoa(int(m))
		}
	}
	return ""
}

func calendarDay(text, year, month, day string) (*pb.Date, error) {
	y, m, d := atoi(year), atoi(month), atoi(day)
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if y < 1 || t.Year() != y || int(t.Month()) != m || t.Day() != d {
		return nil, misread(text, "a day of the calendar", dateHelp)
	}
	return &pb.Date{Year: int32(y), Month: int32(m), Day: int32(d)}, nil
}

// atoi is the value of a few digits, 0 for none.
func atoi(text string) int {
	n, _ := strconv.Atoi(text)
	return n
}

// DayOf is the beginning of a day, in UTC. What is no day of the calendar, as 30
// February, is the day that it would be.
func DayOf(d *pb.Date) time.Time {
	return time.Date(int(d.GetYear()), time.Month(d.GetMonth()), int(d.GetDay()), 0, 0, 0, 0, time.UTC)
}

// FormatDate shows a day: "25 November 2026". Nothing is shown for nil.
func FormatDate(d *pb.Date) string {
	if d == nil {
		return ""
	}
	return fmt.Sprintf("%d %s %04d", d.GetDay(), time.Month(d.GetMonth()), d.GetYear())
}
