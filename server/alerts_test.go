package server_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func (r *rig) lodge(t *testing.T, list *pb.WantedList) (*pb.WantedList, uint64) {
	t.Helper()
	made, err := r.wants.CreateWantedList(t.Context(), &pb.CreateWantedListRequest{WantedList: list})
	if err != nil {
		t.Fatal(err)
	}
	return made.GetWantedList(), made.GetChange()
}

func wanting(title string, words string) *pb.WantedList {
	return &pb.WantedList{Title: title, Place: "Columbus, OH", Wants: []*pb.Want{{Title: "A platen", Filter: &pb.LotFilter{Words: words}}}}
}

func TestAlertsBothWays(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("old"))
	list, change := r.lodge(t, wanting("Two Stoats", "platen"))
	if got := r.inbox(t, change); len(got) != 1 || got[0].GetReason() != pb.AlertReason_ALERT_REASON_NEW_WANT {
		t.Fatalf("after the want: %v", got)
	}
	_, change = r.lot(t, shop, platen("new"))
	got := r.inbox(t, change)
	if len(got) != 2 {
		t.Fatalf("after the lot: %v", got)
	}
	a := got[1]
	if a.GetReason() != pb.AlertReason_ALERT_REASON_NEW_LOT || a.GetLot().GetTag() != "new" || a.GetWantedList() != list.GetName() || a.GetWant() != "a-platen" {
		t.Errorf("the second alert: %v", a)
	}
	if a.GetFit().GetScore() <= 0 || a.RoadMiles == nil || a.GetRoadMiles() < 60 || a.GetRoadMiles() > 100 {
		t.Errorf("fit %v, %v miles from Columbus to Dayton", a.GetFit().GetScore(), a.GetRoadMiles())
	}
}

func TestAcknowledgedAlertsLeaveTheInbox(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lodge(t, wanting("Two Stoats", "platen"))
	r.lot(t, shop, platen("p1"))
	_, change := r.lot(t, shop, platen("p2"))
	open := r.inbox(t, change)
	first, err := r.alerts.AcknowledgeAlert(t.Context(), &pb.AcknowledgeAlertRequest{Name: open[0].GetName()})
	if err != nil || first.GetAlert().GetAcknowledgeTime() == nil {
		t.Fatalf("%v, %v", first, err)
	}
	again, err := r.alerts.AcknowledgeAlert(t.Context(), &pb.AcknowledgeAlertRequest{Name: open[0].GetName()})
	if err != nil || !proto.Equal(first, again) {
		t.Errorf("acknowledged again: %v, %v", again, err)
	}
	if left := r.inbox(t, 0); len(left) != 1 || left[0].GetName() != open[1].GetName() {
		t.Errorf("left: %v", left)
	}
	all, err := r.alerts.ListAlerts(t.Context(), &pb.ListAlertsRequest{IncludeAcknowledged: true})
	if err != nil || len(all.GetAlerts()) != 2 {
		t.Errorf("all: %v, %v", all, err)
	}
	for _, name := range []string{"alerts/none", shop.GetName()} {
		_, err = r.alerts.AcknowledgeAlert(t.Context(), &pb.AcknowledgeAlertRequest{Name: name})
		refused(t, err, codes.NotFound, server.ReasonNotFound)
	}
	_, err = r.alerts.ListAlerts(t.Context(), &pb.ListAlertsRequest{WantedList: "nonsense"})
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
}

// A stream tells each alert once, from where its reader left off, and leaves
// out what has been acknowledged and what is another list's.
func TestAStreamResumes(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("p0"))
	list, change := r.lodge(t, wanting("Two Stoats", "platen"))
	r.lodge(t, wanting("Somebody else", "platen"))
	r.inbox(t, change)
	read := func(token string, n int) ([]string, string) {
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		defer cancel()
		stream, err := r.alerts.StreamAlerts(ctx, &pb.StreamAlertsRequest{WantedList: list.GetName(), ResumeToken: token})
		if err != nil {
			t.Fatal(err)
		}
		var tags []string
		for len(tags) < n {
			event, err := stream.Recv()
			if err != nil {
				t.Fatal(err)
			}
			if event.GetAlert() != nil {
				tags = append(tags, event.GetAlert().GetLot().GetTag())
			}
			token = event.GetResumeToken()
		}
		return tags, token
	}
	tags, token := read("", 1)
	if !slices.Equal(tags, []string{"p0"}) {
		t.Fatalf("the stream began with %v", tags)
	}
	r.lot(t, shop, platen("p1"))
	_, change = r.lot(t, shop, platen("p2"))
	if tags, token = read(token, 2); !slices.Equal(tags, []string{"p1", "p2"}) {
		t.Fatalf("resumed with %v", tags)
	}
	for _, a := range r.inbox(t, change) {
		if a.GetLot().GetTag() == "p0" {
			r.alerts.AcknowledgeAlert(t.Context(), &pb.AcknowledgeAlertRequest{Name: a.GetName()})
		}
	}
	if tags, _ = read("", 2); !slices.Equal(tags, []string{"p1", "p2"}) {
		t.Errorf("begun anew with %v, and p0 was acknowledged", tags)
	}
	r.lot(t, shop, platen("p3"))
	if tags, _ = read(token, 1); !slices.Equal(tags, []string{"p3"}) {
		t.Errorf("resumed with %v", tags)
	}
	stream, err := r.alerts.StreamAlerts(t.Context(), &pb.StreamAlertsRequest{ResumeToken: token})
	if err == nil {
		_, err = stream.Recv()
	}
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid) // a token of another stream
}

func TestWhatIsWrongWithAWantedListIsNamed(t *testing.T) {
	r := open(t)
	for _, c := range []struct {
		field string
		spoil func(*pb.WantedList)
	}{
		{"wanted_list.title", func(l *pb.WantedList) { l.Title = "" }},
		{"wanted_list.place", func(l *pb.WantedList) { l.Place = "" }},
		{"wanted_list.place", func(l *pb.WantedList) { l.Place = "Nowhere At All, OH" }},
		{"wanted_list.reach_road_km", func(l *pb.WantedList) { l.ReachRoadKm = proto.Float64(0) }},
		{"wanted_list.kit.people", func(l *pb.WantedList) { l.Kit = &pb.Kit{People: proto.Int32(-1)} }},
		{"wanted_list.kit.hoist_kg", func(l *pb.WantedList) { l.Kit = &pb.Kit{HoistKg: proto.Float64(-1)} }},
		{"wanted_list.kit.door_width_mm", func(l *pb.WantedList) { l.Kit = &pb.Kit{DoorWidthMm: proto.Float64(0)} }},
		{"wanted_list.purse", func(l *pb.WantedList) { l.Purse = &pb.Money{CurrencyCode: "USD", Nanos: -1} }},
		{"wanted_list.weights.rigging", func(l *pb.WantedList) { l.Weights = &pb.FitWeights{Rigging: proto.Float64(101)} }},
		{"wanted_list.weights", func(l *pb.WantedList) {
			l.Weights = &pb.FitWeights{Distance: proto.Float64(0), Rigging: proto.Float64(0), Completeness: proto.Float64(0)}
		}},
		{"wanted_list.wants", func(l *pb.WantedList) { l.Wants = nil }},
		{"wanted_list.wants[0].title", func(l *pb.WantedList) { l.Wants[0].Title = "" }},
		{"wanted_list.wants[0].id", func(l *pb.WantedList) { l.Wants[0].Id = "Not An ID" }},
		{"wanted_list.wants[1].id", func(l *pb.WantedList) {
			l.Wants = []*pb.Want{{Id: "a", Title: "x"}, {Id: "a", Title: "y"}}
		}},
		{"wanted_list.wants[0].importance", func(l *pb.WantedList) { l.Wants[0].Importance = 6 }},
		{"wanted_list.wants[0].must_have", func(l *pb.WantedList) { l.Wants[0].MustHave = []string{""} }},
		{"wanted_list.wants[0].text_to_set", func(l *pb.WantedList) { l.Wants[0].TextToSet = strings.Repeat("x", 1_001) }},
		{"wanted_list.wants[0].filter.max_mass_kg", func(l *pb.WantedList) { l.Wants[0].Filter.MaxMassKg = proto.Float64(0) }},
		{"wanted_list.wants[0].filter.near.place", func(l *pb.WantedList) { l.Wants[0].Filter.Near = &pb.Near{} }},
	} {
		list := wanting("Two Stoats", "platen")
		c.spoil(list)
		_, err := r.wants.CreateWantedList(t.Context(), &pb.CreateWantedListRequest{WantedList: list})
		if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields[c.field] == "" {
			t.Errorf("%v: fields %v, want %s", list, fields, c.field)
		}
	}
	_, err := r.wants.CreateWantedList(t.Context(), &pb.CreateWantedListRequest{})
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
}

func TestAWantedListIsLodgedChangedAndDropped(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	list, _ := r.lodge(t, wanting("Two Stoats", "gothic"))
	_, err := r.wants.CreateWantedList(t.Context(), &pb.CreateWantedListRequest{WantedList: wanting("two  STOATS", "x")})
	refused(t, err, codes.AlreadyExists, server.ReasonExists)
	_, change := r.lot(t, shop, platen("p1"))
	if got := r.inbox(t, change); len(got) != 0 {
		t.Fatalf("a platen is no gothic: %v", got)
	}
	next := wanting("Two Stoats", "platen")
	next.Name = list.GetName()
	changed, err := r.wants.UpdateWantedList(t.Context(), &pb.UpdateWantedListRequest{WantedList: next, UpdateMask: mask("wants")})
	if err != nil {
		t.Fatal(err)
	}
	if got := r.inbox(t, changed.GetChange()); len(got) != 1 {
		t.Errorf("the changed want: %v", got)
	}
	_, err = r.wants.DeleteWantedList(t.Context(), &pb.DeleteWantedListRequest{Name: list.GetName(), Etag: list.GetEtag()})
	refused(t, err, codes.Aborted, server.ReasonStale)
	gone, err := r.wants.DeleteWantedList(t.Context(), &pb.DeleteWantedListRequest{Name: list.GetName()})
	if err != nil || gone.GetChange() <= changed.GetChange() {
		t.Fatalf("%v, %v", gone, err)
	}
	_, change = r.lot(t, shop, platen("p2"))
	if got := r.inbox(t, change); len(got) != 1 {
		t.Errorf("a dropped list hears of more, or has lost its alerts: %v", got)
	}
	_, err = r.wants.GetWantedList(t.Context(), &pb.GetWantedListRequest{Name: list.GetName()})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	_, err = r.wants.DeleteWantedList(t.Context(), &pb.DeleteWantedListRequest{Name: list.GetName()})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
}

// A seeker's own coordinates are kept nowhere.
func TestAWantsCoordinatesBecomeTheirTown(t *testing.T) {
	r := open(t)
	list := wanting("Two Stoats", "platen")
	list.Place = "39.9655,-82.9987"
	list.Wants[0].Filter.Near = &pb.Near{Point: &pb.Point{Latitude: 39.7612, Longitude: -84.1977}}
	kept, _ := r.lodge(t, list)
	if text := kept.String(); strings.Contains(text, "39.9655") || strings.Contains(text, "39.7612") || kept.GetPlace() != "Columbus, OH" {
		t.Errorf("kept %v", kept)
	}
}
