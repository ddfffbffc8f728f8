package server_test

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
)

// Many write and search at once: each finds what it has written itself as soon
// as it asks for it, and in the end every lot has made its one alert.
func TestManyAtOnce(t *testing.T) {
	const posters, lots = 8, 12
	r := open(t)
	r.lodge(t, wanting("Two Stoats", "platen"))
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	var all sync.WaitGroup
	for p := range posters {
		all.Go(func() {
			shop := r.shop(t, fmt.Sprint("Shop ", p), "Dayton, OH")
			for i := range lots {
				tag := fmt.Sprintf("s%d-%d", p, i)
				made, err := r.lots.CreateLot(ctx, &pb.CreateLotRequest{Parent: shop.GetName(), Lot: platen(tag)})
				if err != nil {
					t.Error(err)
					return
				}
				if i%4 == 3 {
					moveShop(t, ctx, r, shop, i)
				}
				found, err := r.search.SearchLots(ctx, &pb.SearchLotsRequest{
					Filter: &pb.LotFilter{Words: "platen", Shop: shop.GetName()}, PageSize: 1000, AtLeastChange: made.GetChange(),
				})
				if err != nil || !slices.ContainsFunc(found.GetHits(), func(h *pb.SearchHit) bool { return h.GetLot().GetTag() == tag }) {
					t.Errorf("%s was written at change %d and is not found: %v", tag, made.GetChange(), err)
					return
				}
			}
		})
	}
	all.Wait()
	made, err := r.lots.CreateLot(ctx, &pb.CreateLotRequest{Parent: r.shop(t, "The last", "Dayton, OH").GetName(), Lot: platen("last")})
	if err != nil {
		t.Fatal(err)
	}
	alerted := map[string]int{}
	for _, a := range r.inbox(t, made.GetChange()) {
		alerted[a.GetLot().GetTag()]++
	}
	if len(alerted) != posters*lots+1 {
		t.Errorf("%d lots were alerted, of %d", len(alerted), posters*lots+1)
	}
	for tag, n := range alerted {
		if n != 1 {
			t.Errorf("%s was alerted %d times", tag, n)
		}
	}
}

// moveShop writes all lots of a shop again; somebody else may do so too.
func moveShop(t *testing.T, ctx context.Context, r *rig, shop *pb.Shop, day int) {
	_, err := r.shops.UpdateShop(ctx, &pb.UpdateShopRequest{
		Shop: &pb.Shop{Name: shop.GetName(), ClearBy: &pb.Date{Year: 2027, Month: 1, Day: int32(day + 1)}}, UpdateMask: mask("clear_by"),
	})
	if code := codeOf(err); code != codes.OK {
		t.Error(err)
	}
}
