package server_test

import (
	"fmt"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// lines are a history, the latest first, a line for each change.
func (r *trusted) lines(t *testing.T, who person, name string, page int32) (all []string) {
	t.Helper()
	for token := ""; ; {
		got := well(t, pb.NewHistoryServiceClient(r.conn).ListHistory, who, &pb.ListHistoryRequest{Name: name, PageSize: page, PageToken: token})
		for _, c := range got.GetChanges() {
			line := c.GetAuthorName()
			if c.GetCreated() {
				line += " new"
			}
			for _, f := range c.GetFields() {
				if c.GetCreated() && f.GetField() != "state" {
					continue
				}
				line += fmt.Sprintf(" %s %q to %q", f.GetField(), f.GetBefore(), f.GetAfter())
			}
			all = append(all, line)
		}
		if token = got.GetNextPageToken(); token == "" {
			return all
		}
	}
}

// Every change of a listing is told, with who made it; and to nobody whose business
// it is not, in whatever answer.
func TestHistorySaysWhoAndWhat(t *testing.T) {
	r := openTrusted(t)
	keeper, goBetween := r.person(t, "Odile"), r.person(t, "Ines")
	shop := r.shopOf(t, keeper, "Marrowby", "Dayton, OH")
	r.goBetween(t, keeper, shop, goBetween)
	lot := r.lotOf(t, keeper, shop, platen("P1"))
	change := func(who person, l *pb.Lot, paths ...string) {
		t.Helper()
		l.Name = lot.GetName()
		well(t, r.lots.UpdateLot, who, &pb.UpdateLotRequest{Lot: l, UpdateMask: &fieldmaskpb.FieldMask{Paths: paths}})
	}
	change(keeper, &pb.Lot{Price: &pb.Money{CurrencyCode: "USD", Units: 900}}, "price")
	change(goBetween, &pb.Lot{State: pb.LotState_LOT_STATE_PROMISED}, "state")
	well(t, r.shops.UpdateShop, keeper, &pb.UpdateShopRequest{
		Shop: &pb.Shop{Name: shop.GetName(), ClearBy: &pb.Date{Year: 2027, Month: 3, Day: 1}}, UpdateMask: mask("clear_by"),
	})
	want := []string{
		`Odile clear_by "" to "{\"year\":2027,\"month\":3,\"day\":1}" clear_by_from_shop "" to "true"`,
		`Ines state "LOT_STATE_OFFERED" to "LOT_STATE_PROMISED"`,
		`Odile price "" to "{\"currencyCode\":\"USD\",\"units\":\"900\"}"`,
		`Odile new state "" to "LOT_STATE_OFFERED"`,
	}
	for page := range int32(6) {
		if got := r.lines(t, goBetween, lot.GetName(), page); strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("in pages of %d:\n%s", page, strings.Join(got, "\n"))
		}
	}
	if got := r.lines(t, keeper, shop.GetName(), 0); len(got) != 2 || got[1] != "Odile new" {
		t.Errorf("of the shop: %q", got)
	}
	well(t, r.accounts.HandOver, keeper, &pb.HandOverRequest{Name: shop.GetName(), Account: goBetween.name})
	if got := r.lines(t, goBetween, shop.GetName(), 0); len(got) != 3 || got[0] != "Odile" {
		t.Errorf("after it was handed over: %q", got)
	}
	stranger := r.person(t, "Sam")
	refused(t, refusal(t, pb.NewHistoryServiceClient(r.conn).ListHistory, stranger, &pb.ListHistoryRequest{Name: lot.GetName()}), codes.PermissionDenied, server.ReasonDenied)
	found := well(t, r.search.SearchLots, stranger, &pb.SearchLotsRequest{Filter: &pb.LotFilter{States: everyState()}})
	for _, m := range []fmt.Stringer{found, well(t, r.lots.GetLot, nobody, &pb.GetLotRequest{Name: lot.GetName()}), well(t, r.shops.GetShop, nobody, &pb.GetShopRequest{Name: shop.GetName()})} {
		if strings.Contains(m.String(), "accounts/") || strings.Contains(m.String(), "1000:") {
			t.Errorf("a stranger is told %v", m)
		}
	}
}
