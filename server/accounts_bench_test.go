package server_test

import (
	"testing"

	"google.golang.org/grpc/metadata"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// What it costs to know who calls and what they may: the same lot read without a
// token, which looks nobody up, and by its keeper.
func BenchmarkGetLotByAccount(b *testing.B) {
	w, _ := serveAccounts(b, server.Config{Accounts: server.ByInvitation, Limits: server.Limits{PerSecond: 1e9, Burst: 1e9}})
	ann := w.invite(b)
	made, err := w.shops.CreateShop(ann.as(b), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "A shop", Place: "Dayton, OH"}})
	if err != nil {
		b.Fatal(err)
	}
	lot, err := w.lots.CreateLot(ann.as(b), &pb.CreateLotRequest{Parent: made.GetShop().GetName(), Lot: platen("p1")})
	if err != nil {
		b.Fatal(err)
	}
	for name, by := range map[string]somebody{"without a token": {}, "by its keeper": ann} {
		b.Run(name, func(b *testing.B) {
			ctx := metadata.NewOutgoingContext(b.Context(), metadata.MD{})
			if by.secret != "" {
				ctx = by.in(ctx)
			}
			for b.Loop() {
				if _, err := w.lots.GetLot(ctx, &pb.GetLotRequest{Name: lot.GetLot().GetName()}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
