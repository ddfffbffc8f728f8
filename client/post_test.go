package client

import (
	"context"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
)

var demoSheets = []string{"marrowby.yaml", "late-lot.yaml", "skerrow.yaml", "tolliver.csv"}

func demoJob(t *testing.T, name string) *Job {
	t.Helper()
	j, err := ReadSheet("../testdata/demo/"+name, &pb.Shop{}, "USD")
	if name == "tolliver.csv" {
		j, err = ReadSheet("../testdata/demo/"+name, &pb.Shop{Title: "The Tolliver basement", Place: "Grand Rapids, MI"}, "USD")
	}
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func TestPostAgainWritesNothing(t *testing.T) {
	c := own(t)
	for _, name := range demoSheets {
		first, err := c.PostSheet(t.Context(), demoJob(t, name), nil)
		if err != nil {
			t.Fatal(err)
		}
		if first.Count(Posted) != len(first.Lots) || first.Change == 0 {
			t.Errorf("%s: %d of %d posted, change %d", name, first.Count(Posted), len(first.Lots), first.Change)
		}
		again, err := c.PostSheet(t.Context(), demoJob(t, name), nil)
		if err != nil {
			t.Fatal(err)
		}
		if again.NewShop || again.Count(Unchanged) != len(again.Lots) || again.Change != 0 {
			t.Errorf("%s again: %d of %d unchanged, change %d", name, again.Count(Unchanged), len(again.Lots), again.Change)
		}
	}
}

// A tag is the same in any spelling of it.
func TestPostKnowsALotByItsTag(t *testing.T) {
	c := own(t)
	post(t, c, dayton(), woodType("W 1"))
	changed := woodType("w1")
	changed.Description = "with a fist"
	report := post(t, c, dayton(), changed, woodType("W2"))
	if report.Lots[0].Outcome != Changed || report.Lots[1].Outcome != Posted {
		t.Errorf("got %v and %v", report.Lots[0].Outcome, report.Lots[1].Outcome)
	}
	if l := report.Lots[0].Lot; l.GetTag() != "W 1" || l.GetDescription() != "with a fist" {
		t.Errorf("got %v", l)
	}
	if report.Change != report.Lots[1].Lot.GetRevision() {
		t.Errorf("change %d, want that of the last write, %d", report.Change, report.Lots[1].Lot.GetRevision())
	}
}

func TestPostLeavesWhatIsNotSaid(t *testing.T) {
	c := own(t)
	full := &pb.Lot{
		Tag: "P1", Title: "Halvorsen KR15", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_PLATEN_JOBBER, Serial: "7",
		Size:   &pb.Size{WidthMm: proto.Float64(1000), DepthMm: proto.Float64(1200)},
		Parts:  &pb.Parts{OnHand: []string{"chase"}, Missing: []string{"rollers"}},
		Price:  &pb.Money{CurrencyCode: "USD", Units: 900},
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Drive: pb.Drive_DRIVE_TREADLE, HeaviestPieceKg: proto.Float64(400)}},
	}
	want := post(t, c, dayton(), full).Lots[0].Lot
	said := &pb.Lot{
		Tag: "P1", Title: "Halvorsen KR15", Kind: pb.Kind_KIND_PRESS,
		Size:   &pb.Size{WidthMm: proto.Float64(1010)},
		Parts:  &pb.Parts{RestComplete: true},
		Price:  &pb.Money{CurrencyCode: "USD", Units: 850},
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Chase: &pb.Rectangle{WidthMm: 254, HeightMm: 381}}},
	}
	got := post(t, c, dayton(), said).Lots[0].Lot
	want.Size.WidthMm, want.Price.Units = proto.Float64(1010), 850
	want.Parts = &pb.Parts{OnHand: []string{"chase"}, RestComplete: true}
	want.GetPress().Chase = &pb.Rectangle{WidthMm: 254, HeightMm: 381}
	want.Revision, want.Etag, want.UpdateTime = got.Revision, got.Etag, got.UpdateTime
	same(t, "after a sheet that says less", got, want)
}

func TestPostMovesALotToAnotherKind(t *testing.T) {
	c := own(t)
	post(t, c, dayton(), &pb.Lot{Tag: "X", Title: "Was taken for a press", Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_HAND_PRESS,
		Detail: &pb.Lot_Press{Press: &pb.PressDetail{Drive: pb.Drive_DRIVE_HAND}}})
	for _, said := range []*pb.Lot{
		{Tag: "X", Title: "Cuts", Kind: pb.Kind_KIND_CUTS, Detail: &pb.Lot_Cuts{Cuts: &pb.CutsDetail{Subject: "cattle"}}},
		{Tag: "X", Title: "Tools", Kind: pb.Kind_KIND_TOOLS},
	} {
		one := post(t, c, dayton(), said).Lots[0]
		if one.Outcome != Changed || one.Lot.GetKind() != said.GetKind() || one.Lot.GetPress() != nil ||
			!proto.Equal(one.Lot.GetCuts(), said.GetCuts()) {
			t.Errorf("%s: %v, %v, problems %v", said.GetTitle(), one.Outcome, one.Lot, one.Problems)
		}
	}
}

func TestPostRenewsTheShop(t *testing.T) {
	c := own(t)
	first := post(t, c, dayton())
	if !first.NewShop || first.Change == 0 {
		t.Fatalf("got %+v", first)
	}
	if again := post(t, c, dayton()); again.NewShop || again.Change != 0 || again.Shop.GetEtag() != first.Shop.GetEtag() {
		t.Errorf("again: %+v", again)
	}
	moved := post(t, c, &pb.Shop{Title: "a  JOB shop", Place: "Akron, OH", Story: "It goes on."})
	if moved.NewShop || moved.Shop.GetName() != first.Shop.GetName() || moved.Shop.GetTown().GetName() != "Akron" ||
		moved.Shop.GetStory() != "It goes on." || moved.Change == 0 {
		t.Errorf("moved: %+v", moved)
	}
	if _, err := c.Post(t.Context(), &pb.Shop{Title: "Nowhere"}, nil, nil); Code(err) != codes.InvalidArgument {
		t.Errorf("a shop without a place: %v", err)
	}
}

func TestPostInBatches(t *testing.T) {
	c := own(t)
	recorded := &recordingLots{LotServiceClient: c.Lots}
	c.Lots = recorded
	lots := manyLots(1201)
	var heard []int
	report, err := c.Post(t.Context(), dayton(), lots, func(done int) { heard = append(heard, done) })
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(heard, []int{500, 1000, 1201}) {
		t.Errorf("heard %v", heard)
	}
	for i, one := range report.Lots {
		if one.Index != i || one.Outcome != Posted || one.Lot.GetTag() != lots[i].GetTag() || one.Lot.GetName() == "" {
			t.Fatalf("lot %d is %+v", i, one)
		}
	}
	ids := map[string]bool{}
	for _, req := range recorded.batches {
		ids[req.GetRequestId()] = true
	}
	if len(recorded.batches) != 3 || len(ids) != 3 || ids[""] {
		t.Errorf("%d batches with the request IDs %v", len(recorded.batches), ids)
	}
	again := post(t, c, dayton(), lots...)
	if again.Count(Unchanged) != 1201 || len(recorded.batches) != 3 {
		t.Errorf("again: %d unchanged, %d batches in all", again.Count(Unchanged), len(recorded.batches))
	}
}

// recordingLots is the lot service, and what was asked of it. The batch number
// failing fails.
type recordingLots struct {
	pb.LotServiceClient
	batches []*pb.BatchCreateLotsRequest
	failing int
}

func (r *recordingLots) BatchCreateLots(ctx context.Context, req *pb.BatchCreateLotsRequest, with ...grpc.CallOption) (*pb.BatchCreateLotsResponse, error) {
	r.batches = append(r.batches, req)
	if len(r.batches) == r.failing {
		return nil, status.Error(codes.Unavailable, "gone")
	}
	return r.LotServiceClient.BatchCreateLots(ctx, req, with...)
}

func TestPostBrokenOffIsTakenUpAgain(t *testing.T) {
	c := own(t)
	c.Lots = &recordingLots{LotServiceClient: c.Lots, failing: 2}
	report, err := c.Post(t.Context(), dayton(), manyLots(700), nil)
	if Code(err) != codes.Unavailable || report.Count(Posted) != 500 {
		t.Fatalf("got %v, %d posted", err, report.Count(Posted))
	}
	again := post(t, c, dayton(), manyLots(700)...)
	if again.Count(Unchanged) != 500 || again.Count(Posted) != 200 {
		t.Errorf("again: %d unchanged, %d posted", again.Count(Unchanged), again.Count(Posted))
	}
}

func TestPostRefusesOnlyWhatIsWrong(t *testing.T) {
	c := own(t)
	lots := manyLots(600)
	lots[3].Title = strings.Repeat("long ", 100)
	lots[5].Count, lots[5].Detail = proto.Int32(-1), &pb.Lot_Press{Press: &pb.PressDetail{}}
	lots[599].Tag = ""
	report := post(t, c, dayton(), lots...)
	if report.Count(Posted) != 597 || report.Count(Refused) != 3 {
		t.Errorf("%d posted, %d refused", report.Count(Posted), report.Count(Refused))
	}
	for i, fields := range map[int][]string{3: {"title"}, 5: {"count", ""}, 599: {"tag"}} {
		var got []string
		for _, p := range report.Lots[i].Problems {
			got = append(got, p.Field)
		}
		if report.Lots[i].Outcome != Refused || !slices.Equal(got, fields) {
			t.Errorf("lot %d: %v for %q, want %q", i, report.Lots[i].Outcome, got, fields)
		}
	}
	wrong := woodType("W0")
	wrong.Make = strings.Repeat("long ", 100)
	one := post(t, c, dayton(), wrong, woodType("W1")).Lots[0]
	if one.Outcome != Refused || one.Problems[0].Field != "make" {
		t.Errorf("an update: %+v", one)
	}
}
