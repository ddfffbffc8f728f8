package notice

import (
	"fmt"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// UrgentDays is how near the day to clear by is for an alert to be urgent.
const UrgentDays = 14

// DaysLeft is how many days there are from a day to the day by which a lot has
// to go; 0 is the same day, and less than 0 is over. It is false where the lot
// has no such day. Only the date of now counts, on now's own calendar.
func DaysLeft(l *pb.Lot, now time.Time) (days int, known bool) {
	d := l.GetClearBy()
	if d == nil {
		return 0, false
	}
	y, m, day := now.Date()
	return int(trade.DayOf(d).Sub(time.Date(y, m, day, 0, 0, 0, 0, time.UTC)).Hours() / 24), true
}

// IsUrgent tells whether a lot has to go within UrgentDays. One whose day is
// over is not urgent: it is late, and that is another matter.
func IsUrgent(l *pb.Lot, now time.Time) bool {
	days, known := DaysLeft(l, now)
	return known && days >= 0 && days <= UrgentDays
}

// Urgent is what an urgent alert says first, and empty for others.
func Urgent(l *pb.Lot, now time.Time) string {
	if !IsUrgent(l, now) {
		return ""
	}
	days, _ := DaysLeft(l, now)
	day := trade.FormatDate(l.GetClearBy())
	switch days {
	case 0:
		return "Urgent: it has to go today, " + day + "."
	case 1:
		return "Urgent: it has to go by tomorrow, " + day + "."
	}
	return fmt.Sprintf("Urgent: it has to go by %s, in %d days.", day, days)
}
