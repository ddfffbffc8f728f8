package notice_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

var today = time.Date(2026, 11, 20, 23, 30, 0, 0, time.UTC)

func lotDue(y, m, d int32) *pb.Lot { return &pb.Lot{ClearBy: &pb.Date{Year: y, Month: m, Day: d}} }

func TestUrgent(t *testing.T) {
	for _, c := range []struct {
		lot  *pb.Lot
		want string
	}{
		{&pb.Lot{}, ""},
		{lotDue(2026, 11, 19), ""}, // over
		{lotDue(2026, 11, 20), "Urgent: it has to go today, 20 November 2026."},
		{lotDue(2026, 11, 21), "Urgent: it has to go by tomorrow, 21 November 2026."},
		{lotDue(2026, 12, 4), "Urgent: it has to go by 4 December 2026, in 14 days."},
		{lotDue(2026, 12, 5), ""},
		{lotDue(2027, 11, 21), ""},
	} {
		if got := notice.Urgent(c.lot, today); got != c.want {
			t.Errorf("%v: %q, want %q", c.lot.GetClearBy(), got, c.want)
		}
		if notice.IsUrgent(c.lot, today) != (c.want != "") {
			t.Errorf("%v: IsUrgent and Urgent do not agree", c.lot.GetClearBy())
		}
	}
}

// The day is that of the reader's own calendar.
func TestUrgentOnTheReadersCalendar(t *testing.T) {
	auckland, err := time.LoadLocation("Pacific/Auckland")
	if err != nil {
		t.Fatal(err)
	}
	if days, known := notice.DaysLeft(lotDue(2026, 11, 21), today.In(auckland)); !known || days != 0 {
		t.Errorf("in Auckland it is the 21st already: %d days", days)
	}
}

func anAlert() *pb.Alert {
	return &pb.Alert{
		Name: "alerts/abc", WantedList: "wantedLists/posters", WantTitle: "A platen", Reason: pb.AlertReason_ALERT_REASON_NEW_LOT,
		Lot: &pb.Lot{
			Name: "shops/marrowby/lots/p2", Tag: "P2", Title: "Halvorsen platen jobber", Kind: pb.Kind_KIND_PRESS,
			State: pb.LotState_LOT_STATE_OFFERED, ShopTitle: "Marrowby", Town: &pb.Town{Label: "Dayton, OH"},
			Weight: &pb.Weight{MassKg: proto.Float64(680)}, Price: &pb.Money{CurrencyCode: "USD", Units: 900},
			Parts: &pb.Parts{Missing: []string{"rollers"}}, ClearBy: &pb.Date{Year: 2026, Month: 11, Day: 30},
		},
		Fit: &pb.Fit{Score: 82, Low: 70, High: 90, Questions: []string{"How wide is the door?"}, Parts: []*pb.FitPart{
			{Factor: pb.Factor_FACTOR_DISTANCE, Score: 84, Low: 84, High: 84, Reasons: []string{"about 71 mi by road"}},
			{Factor: pb.Factor_FACTOR_RIGGING, Score: 60, Low: 50, High: 70, Reasons: []string{"heavy", "a stair"}},
		}},
		RoadMiles: proto.Float64(71), RoadMilesLow: proto.Float64(65), RoadMilesHigh: proto.Float64(78),
	}
}

// An alert says all that its reader needs, in a set order.
func TestANoticeIsWhole(t *testing.T) {
	n := notice.Of(anAlert(), trade.US, today)
	for name, pair := range map[string][2]string{
		"urgent": {n.Urgent, "Urgent: it has to go by 30 November 2026, in 10 days."},
		"want":   {n.Want, "A platen"},
		"why":    {n.Why, "a new lot"},
		"fit":    {n.Fit, "82 of 100 (70 to 90)"},
		"where":  {n.Where, "Marrowby, Dayton, OH"},
		"road":   {n.Road, "71 mi by road (estimated 65 mi to 78 mi)"},
		"facts":  {n.Facts, "1,499 lb, stated; $900; missing: rollers"},
		"clear":  {n.ClearBy, "clear by 30 November 2026"},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%s: %q, want %q", name, pair[0], pair[1])
		}
	}
	if want := []string{"distance 84: about 71 mi by road", "rigging 60 (50 to 70): heavy; a stair"}; !slices.Equal(n.Reasons, want) {
		t.Errorf("reasons %q, want %q", n.Reasons, want)
	}
	if !strings.HasPrefix(n.Moving, "very heavy") {
		t.Errorf("moving: %q", n.Moving)
	}
	want := []notice.Command{
		{Does: "to read more", Type: "heirpress show marrowby/p2"},
		{Does: "to plan the move", Type: "heirpress rig marrowby/p2"},
		{Does: "to put it away", Type: "heirpress alerts ack abc"},
	}
	if !slices.Equal(n.Commands, want) {
		t.Errorf("commands %v", n.Commands)
	}
}

func TestFill(t *testing.T) {
	a := anAlert()
	notice.Fill(a, today)
	if !a.GetUrgent() || a.GetWeightClass() != pb.WeightClass_WEIGHT_CLASS_MACHINERY || len(a.GetNextCommands()) != 3 {
		t.Errorf("filled in: %v, %v, %q", a.GetUrgent(), a.GetWeightClass(), a.GetNextCommands())
	}
	a.AcknowledgeTime = timestamppb.New(today)
	a.Lot.ClearBy = nil
	notice.Fill(a, today)
	if a.GetUrgent() || len(a.GetNextCommands()) != 2 {
		t.Errorf("no longer urgent, and put away: %v, %q", a.GetUrgent(), a.GetNextCommands())
	}
}
