package server

import (
	"context"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/server/record"
	"heirpress/server/store"
)

type shopService struct {
	pb.UnimplementedShopServiceServer
	*Registry
}

func (s *shopService) CreateShop(ctx context.Context, req *pb.CreateShopRequest) (*pb.CreateShopResponse, error) {
	shop := proto.CloneOf(req.GetShop())
	if err := checkShop(shop); err != nil {
		return nil, err
	}
	shop.Name = "shops/" + newID(shop.GetTitle())
	shop.LotCount, shop.Revision, shop.Etag = 0, 0, ""
	return once(ctx, s.store, req, new(pb.CreateShopResponse), func(tx store.Tx) (*pb.CreateShopResponse, error) {
		shop.CreateTime, shop.UpdateTime = now(tx), now(tx)
		written, err := createShop(ctx, tx, shop)
		return &pb.CreateShopResponse{Shop: written, Change: written.GetRevision()}, err
	})
}

func createShop(ctx context.Context, tx store.Tx, shop *pb.Shop) (*pb.Shop, error) {
	r, err := shopRecord(shop)
	if err != nil {
		return nil, err
	}
	if r, err = tx.Create(ctx, r); err != nil {
		return nil, taken(err, "shop", "this title")
	}
	return record.Shop(r)
}

func shopRecord(shop *pb.Shop) (store.Record, error) {
	body, err := record.Body(shop)
	return store.Record{
		Name: shop.GetName(), Collection: store.Shops, Key: trade.FoldTitle(shop.GetTitle()), Body: body,
	}, err
}

func (s *shopService) GetShop(ctx context.Context, req *pb.GetShopRequest) (*pb.GetShopResponse, error) {
	shop, err := get(ctx, s.store, store.Shops, req.GetName(), record.Shop)
	if err != nil {
		return nil, err
	}
	if err := countLots(ctx, s.store, shop); err != nil {
		return nil, err
	}
	return &pb.GetShopResponse{Shop: shop}, nil
}

// countLots fills in how many lots shops have: the one thing about a shop that
// is not in its record.
func countLots(ctx context.Context, from store.Reader, shops ...*pb.Shop) error {
	for _, shop := range shops {
		n, err := from.Count(ctx, store.Lots, shop.GetName())
		if err != nil {
			return err
		}
		shop.LotCount = int32(n)
	}
	return nil
}

func (s *shopService) ListShops(ctx context.Context, req *pb.ListShopsRequest) (*pb.ListShopsResponse, error) {
	asked := &pb.ListShopsRequest{Title: req.GetTitle()}
	listing, err := s.listing(ctx, store.Shops, asked, req)
	if err != nil {
		return nil, err
	}
	shops, next, err := listOrFind(ctx, s.store, listing, trade.FoldTitle(req.GetTitle()), record.Shop)
	if err != nil {
		return nil, err
	}
	if err := countLots(ctx, s.store, shops...); err != nil {
		return nil, err
	}
	return &pb.ListShopsResponse{Shops: shops, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

func (s *shopService) UpdateShop(ctx context.Context, req *pb.UpdateShopRequest) (*pb.UpdateShopResponse, error) {
	var answer *pb.UpdateShopResponse
	err := s.store.Write(ctx, func(tx store.Tx) error {
		before, err := get(ctx, tx, store.Shops, req.GetShop().GetName(), record.Shop)
		if err != nil {
			return err
		}
		if etag := req.GetShop().GetEtag(); etag != "" && etag != before.GetEtag() {
			return stale(before.GetName(), before.GetEtag())
		}
		answer, err = updateShop(ctx, tx, before, req)
		return err
	})
	return answer, err
}

func updateShop(ctx context.Context, tx store.Tx, before *pb.Shop, req *pb.UpdateShopRequest) (*pb.UpdateShopResponse, error) {
	shop := proto.CloneOf(before)
	if err := change(shop, req.GetShop(), req.GetUpdateMask(), shopFields); err != nil {
		return nil, err
	}
	if err := checkShop(shop); err != nil {
		return nil, err
	}
	if proto.Equal(before, shop) {
		return &pb.UpdateShopResponse{Shop: before, Change: before.GetRevision()}, countLots(ctx, tx, before)
	}
	shop.UpdateTime = now(tx)
	r, err := shopRecord(shop)
	if err != nil {
		return nil, err
	}
	if r, err = tx.Update(ctx, r); err != nil {
		return nil, taken(err, "shop", "this title")
	}
	last, err := rewriteLots(ctx, tx, before, shop)
	if err != nil {
		return nil, err
	}
	if shop, err = record.Shop(r); err != nil {
		return nil, err
	}
	return &pb.UpdateShopResponse{Shop: shop, Change: max(r.Revision, last)}, countLots(ctx, tx, shop)
}

// rewriteLots writes what lots show of their shop to each of them, if it has
// changed. So a lot is whole by itself: whoever follows the journal sees a new
// town or a nearer clear-by day as a change of the lot. It returns the last
// change number.
func rewriteLots(ctx context.Context, tx store.Tx, before, after *pb.Shop) (uint64, error) {
	if sameForLots(before, after) {
		return 0, nil
	}
	var last uint64
	for listing := (store.Listing{Collection: store.Lots, Parent: after.GetName()}); ; {
		records, err := tx.List(ctx, listing)
		if err != nil || len(records) == 0 {
			return last, err
		}
		for _, r := range records {
			listing.After = r.Created
			if last, err = rewriteLot(ctx, tx, r, after); err != nil {
				return 0, err
			}
		}
	}
}

func rewriteLot(ctx context.Context, tx store.Tx, r store.Record, shop *pb.Shop) (uint64, error) {
	lot, err := record.Lot(r)
	if err != nil {
		return 0, err
	}
	showShop(lot, shop)
	lot.UpdateTime = now(tx)
	if r.Body, err = record.Body(lot); err != nil {
		return 0, err
	}
	r, err = tx.Update(ctx, r)
	return r.Revision, err
}

func sameForLots(a, b *pb.Shop) bool {
	return a.GetTitle() == b.GetTitle() && proto.Equal(a.GetClearBy(), b.GetClearBy()) && proto.Equal(a.GetTown(), b.GetTown())
}

// showShop puts on a lot what it shows of its shop.
func showShop(lot *pb.Lot, shop *pb.Shop) {
	lot.Town, lot.ShopTitle = shop.GetTown(), shop.GetTitle()
	if lot.GetClearBy() == nil || lot.GetClearByFromShop() {
		lot.ClearBy = shop.GetClearBy()
		lot.ClearByFromShop = shop.GetClearBy() != nil
	}
}
