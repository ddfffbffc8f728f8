package alerts

import (
	"slices"
	"strconv"
	"strings"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/standing"
	"heirpress/search/trade"
)

// news is why a seeker is told of a lot.
type news struct {
	reason pb.AlertReason
	// told names what is told, where the same is told only once; empty where every
	// revision of the lot is news of its own.
	told string
}

// lotNews is what there is to tell of a lot that was changed.
type lotNews struct {
	before, lot *pb.Lot
	newly       news // for a want that the lot did not meet before
	nearer      news // for one that it did, if the lot must now be gone soon
}

func newsOf(before, lot *pb.Lot, at time.Time) lotNews {
	n := lotNews{before: before, lot: lot, newly: news{reason: pb.AlertReason_ALERT_REASON_CHANGED_LOT}}
	if before == nil || before.GetState() != lot.GetState() {
		n.newly.reason = pb.AlertReason_ALERT_REASON_NEW_LOT
	}
	if before != nil && urgent(lot, at) && !urgent(before, at) {
		n.nearer = news{pb.AlertReason_ALERT_REASON_NEARER_DEADLINE, "by " + dayOf(lot.GetClearBy())}
	}
	return n
}

// urgent tells whether the day by which a lot must be gone is at most so near that
// who wants it must hurry; over counts.
func urgent(lot *pb.Lot, at time.Time) bool {
	days, known := notice.DaysLeft(lot, at.UTC())
	return known && days <= notice.UrgentDays
}

func dayOf(d *pb.Date) string {
	parts := []int32{d.GetYear(), d.GetMonth(), d.GetDay()}
	var text []string
	for _, p := range parts {
		text = append(text, strconv.Itoa(int(p)))
	}
	return strings.Join(text, "-")
}

// concerns tells whether a want may have to hear of the lot; it is asked before
// the want is read.
func (n lotNews) concerns(one standing.Met) bool {
	return !one.Before || n.nearer.reason != 0 || one.Marked && len(n.before.GetParts().GetMissing()) > 0
}

// forWant is what a want hears of the lot; nothing has no reason.
func (n lotNews) forWant(one standing.Met, w *pb.Want) news {
	switch {
	case !one.Before:
		return n.newly
	case n.nearer.reason != 0:
		return n.nearer
	}
	return n.foundPart(w.GetMustHave())
}

// foundPart is the news that whatever of the parts that must be there was said to
// be missing is now said to be there.
func (n lotNews) foundPart(mustHave []string) news {
	var found []string
	for _, part := range mustHave {
		if trade.HasPart(n.before, part) == trade.No {
			found = append(found, part)
		}
	}
	lacking := func(part string) bool { return trade.HasPart(n.lot, part) != trade.Yes }
	if len(found) == 0 || slices.ContainsFunc(found, lacking) {
		return news{}
	}
	return news{pb.AlertReason_ALERT_REASON_FOUND_PART, "found " + strings.Join(found, "\x00")}
}
