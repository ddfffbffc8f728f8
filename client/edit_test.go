package client

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
)

// An edit changes what it names, and nothing else of any lot of the demo.
func TestEditTouchesNothingElse(t *testing.T) {
	c := own(t)
	for _, name := range demoSheets {
		report, err := c.PostSheet(t.Context(), demoJob(t, name), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range report.Lots {
			found, err := c.Edit(t.Context(), l.Lot.GetName(), []string{"condition_note=seen today"}, "USD")
			if err != nil {
				t.Errorf("%s: %v", l.Lot.GetTag(), err)
				continue
			}
			want := proto.CloneOf(l.Lot)
			want.ConditionNote = "seen today"
			same(t, l.Lot.GetTag(), unstamped(found.Lot), unstamped(want))
		}
	}
}

// unstamped is a lot without what every write changes.
func unstamped(l *pb.Lot) *pb.Lot {
	l = proto.CloneOf(l)
	l.Revision, l.Etag, l.UpdateTime = 0, "", nil
	return l
}

func TestEditIsAllOrNothing(t *testing.T) {
	c := own(t)
	before := post(t, c, dayton(), woodType("W1")).Lots[0].Lot
	var wrong *AssignmentError
	_, err := c.Edit(t.Context(), "W1", []string{"price=$5", "weight=heavy"}, "USD")
	if !errors.As(err, &wrong) || wrong.Assignment != "weight=heavy" || !strings.Contains(err.Error(), "lb") {
		t.Errorf("got %v", err)
	}
	for _, a := range []string{"price", "prise=5", "=5", "title="} {
		if _, err := c.Edit(t.Context(), "W1", []string{a}, "USD"); !errors.As(err, &wrong) || wrong.Assignment != a {
			t.Errorf("%q: %v", a, err)
		}
	}
	after, err := c.Lookup(t.Context(), "W1")
	if err != nil {
		t.Fatal(err)
	}
	same(t, "the lot", after.Lot, before)
}

func TestEditOfNothingWritesNothing(t *testing.T) {
	c := own(t)
	report := post(t, c, dayton(), woodType("W1"))
	found, err := c.Edit(t.Context(), "W1", []string{"tag=W1", "make=", "price = "}, "USD")
	if err != nil || found.Lot.GetEtag() != report.Lots[0].Lot.GetEtag() {
		t.Errorf("got %v, %v", found.Lot, err)
	}
	shop, err := c.Edit(t.Context(), report.Shop.GetName(), []string{"title=A job shop"}, "USD")
	if err != nil || shop.Shop.GetEtag() != report.Shop.GetEtag() {
		t.Errorf("got %v, %v", shop.Shop, err)
	}
}

func TestEditOfAShop(t *testing.T) {
	c := own(t)
	shop := post(t, c, dayton(), woodType("W1")).Shop
	found, err := c.Edit(t.Context(), ID(shop.GetName()), []string{"clear_by=2027-01-31", "story=It goes on."}, "USD")
	if err != nil || found.Shop.GetStory() != "It goes on." || found.Shop.GetClearBy().GetDay() != 31 {
		t.Fatalf("got %v, %v", found.Shop, err)
	}
	lot, err := c.Edit(t.Context(), "W1", []string{"clear_by=2027-01-10"}, "USD")
	if err != nil || lot.Lot.GetClearBy().GetDay() != 10 || lot.Lot.GetClearByFromShop() {
		t.Errorf("its own day: %v, %v", lot.Lot, err)
	}
	lot, err = c.Edit(t.Context(), "W1", []string{"clear_by="}, "USD")
	if err != nil || lot.Lot.GetClearBy().GetDay() != 31 || !lot.Lot.GetClearByFromShop() {
		t.Errorf("the shop's day again: %v, %v", lot.Lot, err)
	}
}

// meddling is the lot service, with somebody who is quicker.
type meddling struct {
	pb.LotServiceClient
}

func (m meddling) UpdateLot(ctx context.Context, req *pb.UpdateLotRequest, with ...grpc.CallOption) (*pb.UpdateLotResponse, error) {
	theirs := &pb.Lot{Name: req.GetLot().GetName(), Description: "theirs"}
	mask := &fieldmaskpb.FieldMask{Paths: []string{"description"}}
	if _, err := m.LotServiceClient.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: theirs, UpdateMask: mask}); err != nil {
		return nil, err
	}
	return m.LotServiceClient.UpdateLot(ctx, req, with...)
}

func TestEditOverwritesNobody(t *testing.T) {
	c := own(t)
	post(t, c, dayton(), woodType("W1"))
	c.Lots = meddling{c.Lots}
	_, err := c.Edit(t.Context(), "W1", []string{"description=mine"}, "USD")
	if Code(err) != codes.Aborted || !strings.Contains(Explain(err), "has changed since it was read") {
		t.Errorf("got %v", err)
	}
	found, err := c.Lookup(t.Context(), "W1")
	if err != nil || found.Lot.GetDescription() != "theirs" {
		t.Errorf("got %v, %v", found.Lot, err)
	}
}

func TestUnlikeAndDiffering(t *testing.T) {
	press := func(d *pb.PressDetail) *pb.Lot {
		return &pb.Lot{Kind: pb.Kind_KIND_PRESS, Class: pb.Class_CLASS_HAND_PRESS, Detail: &pb.Lot_Press{Press: d}}
	}
	cuts := &pb.Lot{Kind: pb.Kind_KIND_CUTS}
	lb := func(kg float64) *pb.Lot { return &pb.Lot{Weight: &pb.Weight{MassKg: &kg}} }
	for _, c := range []struct {
		name              string
		old, said         *pb.Lot
		unlike, differing []string
	}{
		{"alike", lb(1), lb(1), nil, nil},
		{"other", lb(1), lb(2), []string{"weight"}, []string{"weight"}},
		{"new", &pb.Lot{}, lb(2), []string{"weight"}, []string{"weight"}},
		{"unsaid", lb(1), &pb.Lot{}, []string{"weight"}, nil},
		{"unknown is not zero", lb(0), &pb.Lot{}, []string{"weight"}, nil},
		{"a free lot", &pb.Lot{}, &pb.Lot{Price: &pb.Money{CurrencyCode: "USD"}}, []string{"price"}, []string{"price"}},
		{"a piece of a detail", press(&pb.PressDetail{Drive: pb.Drive_DRIVE_HAND}), press(&pb.PressDetail{Supply: pb.Supply_SUPPLY_NONE}),
			[]string{"press"}, []string{"press.supply"}},
		{"another kind", press(&pb.PressDetail{}), cuts, []string{"kind", "class", "press"}, []string{"kind", "class", "press"}},
		{"a part that was found", &pb.Lot{Parts: &pb.Parts{Missing: []string{"chase"}}}, &pb.Lot{Parts: &pb.Parts{RestComplete: true}},
			[]string{"parts"}, []string{"parts.missing", "parts.rest_complete"}},
		{"parts on hand", &pb.Lot{Parts: &pb.Parts{Missing: []string{"chase"}}}, &pb.Lot{Parts: &pb.Parts{OnHand: []string{"bar"}}},
			[]string{"parts"}, []string{"parts.on_hand"}},
	} {
		if got := unlike(c.old, c.said, postedFields...).GetPaths(); !slices.Equal(got, c.unlike) {
			t.Errorf("%s: unlike in %v, want %v", c.name, got, c.unlike)
		}
		if got := differing(c.old, c.said, postedFields...).GetPaths(); !slices.Equal(got, c.differing) {
			t.Errorf("%s: differing in %v, want %v", c.name, got, c.differing)
		}
	}
}
