package server_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func TestWhatIsWrongWithAShopIsNamed(t *testing.T) {
	r := open(t)
	for _, c := range []struct {
		field, says string
		shop        *pb.Shop
	}{
		{"shop", "missing", nil},
		{"shop.title", "required", &pb.Shop{Place: "Dayton, OH"}},
		{"shop.place", "missing", &pb.Shop{Title: "a"}},
		{"shop.place", "Dayton, OH", &pb.Shop{Title: "a", Place: "Daton, OH"}},
		{"shop.place", "County", &pb.Shop{Title: "a", Place: "Springfield"}},
		{"shop.clear_by", "calendar", &pb.Shop{Title: "a", Place: "Dayton, OH", ClearBy: &pb.Date{Year: 2027, Month: 13, Day: 1}}},
		{"shop.story", "at most", &pb.Shop{Title: "a", Place: "Dayton, OH", Story: strings.Repeat("x", 20_001)}},
	} {
		_, err := r.shops.CreateShop(t.Context(), &pb.CreateShopRequest{Shop: c.shop})
		fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
		if !strings.Contains(fields[c.field], c.says) {
			t.Errorf("%v: fields %v; %s should say %q", c.shop, fields, c.field, c.says)
		}
	}
}

func TestAShopIsKnownByItsTitle(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby Job Printing", "Dayton, OH")
	if !strings.HasPrefix(shop.GetName(), "shops/marrowby-job-printing-") {
		t.Errorf("name %q", shop.GetName())
	}
	_, err := r.shops.CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: " marrowby  JOB printing", Place: "Leeds, England"}})
	refused(t, err, codes.AlreadyExists, server.ReasonExists)
	found, err := r.shops.ListShops(t.Context(), &pb.ListShopsRequest{Title: "MARROWBY job printing"})
	if err != nil || len(found.GetShops()) != 1 || found.GetShops()[0].GetName() != shop.GetName() {
		t.Errorf("by title: %v, %v", found, err)
	}
	if none, err := r.shops.ListShops(t.Context(), &pb.ListShopsRequest{Title: "Tolliver"}); err != nil || len(none.GetShops()) != 0 {
		t.Errorf("by another title: %v, %v", none, err)
	}
	other := r.shop(t, "Tolliver", "Grand Rapids, MI")
	_, err = r.shops.UpdateShop(t.Context(), &pb.UpdateShopRequest{Shop: &pb.Shop{Name: other.GetName(), Title: "Marrowby Job Printing"}, UpdateMask: mask("title")})
	refused(t, err, codes.AlreadyExists, server.ReasonExists)
	_, err = r.shops.GetShop(t.Context(), &pb.GetShopRequest{Name: "shops/none"})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
}

// Coordinates that a keeper types are kept nowhere: only the town is.
func TestCoordinatesBecomeTheirTown(t *testing.T) {
	r := open(t)
	made, err := r.shops.CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "A", Place: "39.7612,-84.1977"}})
	if err != nil {
		t.Fatal(err)
	}
	town := r.shop(t, "B", "Dayton, OH")
	if got := made.GetShop(); got.GetPlace() != "Dayton, OH" || !proto.Equal(got.GetTown(), town.GetTown()) || strings.Contains(got.String(), "39.7612") {
		t.Errorf("kept %v", got)
	}
}

// A lot shows its shop's town, title and clear-by day, and goes on showing them
// when the shop changes; a day of its own stays.
func TestLotsFollowTheirShop(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	r.lot(t, shop, platen("p1"))
	own := platen("p2")
	own.ClearBy = &pb.Date{Year: 2027, Month: 1, Day: 5}
	r.lot(t, shop, own)
	day := &pb.Date{Year: 2027, Month: 3, Day: 1}
	moved, err := r.shops.UpdateShop(t.Context(), &pb.UpdateShopRequest{
		Shop:       &pb.Shop{Name: shop.GetName(), Place: "Leeds, England", ClearBy: day, Title: "Marrowby & Co"},
		UpdateMask: mask("place", "clear_by", "title"),
	})
	if err != nil {
		t.Fatal(err)
	}
	listed, err := r.lots.ListLots(t.Context(), &pb.ListLotsRequest{Parent: shop.GetName()})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []*pb.Date{day, own.GetClearBy()} {
		l := listed.GetLots()[i]
		if l.GetTown().GetLabel() != moved.GetShop().GetTown().GetLabel() || l.GetShopTitle() != "Marrowby & Co" || !proto.Equal(l.GetClearBy(), want) {
			t.Errorf("lot %s shows %v, %q, %v", l.GetTag(), l.GetTown(), l.GetShopTitle(), l.GetClearBy())
		}
		if l.GetClearByFromShop() != (i == 0) {
			t.Errorf("lot %s: clear_by_from_shop %v", l.GetTag(), l.GetClearByFromShop())
		}
	}
	near := &pb.LotFilter{Near: &pb.Near{Place: "York, England", WithinRoadKm: proto.Float64(100)}}
	if tags := r.find(t, near, moved.GetChange()); len(tags) != 2 {
		t.Errorf("found %v near the new town", tags)
	}
	if moved.GetShop().GetLotCount() != 2 {
		t.Errorf("lot_count %d", moved.GetShop().GetLotCount())
	}
	r.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{Lot: &pb.Lot{Name: shop.GetName() + "/lots/p2"}, UpdateMask: mask("clear_by")})
	back, err := r.lots.GetLot(t.Context(), &pb.GetLotRequest{Name: shop.GetName() + "/lots/p2"})
	if err != nil || !proto.Equal(back.GetLot().GetClearBy(), day) || !back.GetLot().GetClearByFromShop() {
		t.Errorf("a lot whose own day was taken back shows %v, %v", back.GetLot().GetClearBy(), err)
	}
}

// A name is good only for the service it is of: nothing is read out of another
// collection, least of all what the registry keeps for itself.
func TestANameOfAnotherCollectionNamesNothing(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	lot, _ := r.lot(t, shop, platen("p1"))
	list, _ := r.lodge(t, wanting("Two Stoats", "platen"))
	for _, name := range []string{lot.GetName(), list.GetName(), "registry/token-key"} {
		got, err := r.shops.GetShop(t.Context(), &pb.GetShopRequest{Name: name})
		if got != nil {
			t.Errorf("%s is read as the shop %v", name, got)
		}
		refused(t, err, codes.NotFound, server.ReasonNotFound)
	}
	for _, name := range []string{shop.GetName(), list.GetName(), "registry/token-key"} {
		_, err := r.lots.GetLot(t.Context(), &pb.GetLotRequest{Name: name})
		refused(t, err, codes.NotFound, server.ReasonNotFound)
		_, err = r.lots.UpdateLot(t.Context(), &pb.UpdateLotRequest{Lot: &pb.Lot{Name: name, Title: "x"}, UpdateMask: mask("title")})
		refused(t, err, codes.NotFound, server.ReasonNotFound)
	}
	for _, name := range []string{shop.GetName(), lot.GetName(), "registry/token-key"} {
		_, err := r.wants.DeleteWantedList(t.Context(), &pb.DeleteWantedListRequest{Name: name})
		refused(t, err, codes.NotFound, server.ReasonNotFound)
	}
}
