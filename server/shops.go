package server

import (
	"context"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/trade"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

type shopService struct {
	pb.UnimplementedShopServiceServer
	*Registry
}

func (s *shopService) CreateShop(ctx context.Context, req *pb.CreateShopRequest) (*pb.CreateShopResponse, error) {
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	shop := proto.CloneOf(req.GetShop())
	if err := s.checkedShop(shop); err != nil {
		return nil, err
	}
	if err := s.checkOnBehalf(req.GetOnBehalf()); err != nil {
		return nil, err
	}
	shop.Name = "shops/" + newID(shop.GetTitle())
	shop.LotCount, shop.Revision, shop.Etag = 0, 0, ""
	return once(ctx, s.store, req, new(pb.CreateShopResponse), func(tx store.Tx) (*pb.CreateShopResponse, error) {
		shop.CreateTime, shop.UpdateTime = now(tx), now(tx)
		written, err := createShop(ctx, tx, shop, req.GetOnBehalf())
		return &pb.CreateShopResponse{Shop: written, Change: written.GetRevision()}, err
	})
}

// createShop writes a shop, whose keeper the caller is, or, on behalf of somebody
// without an account, its go-between.
func createShop(ctx context.Context, tx store.Tx, shop *pb.Shop, onBehalf string) (*pb.Shop, error) {
	c := access.From(ctx)
	r, err := shopRecord(ctx, shop, c.Account)
	if err != nil {
		return nil, err
	}
	if r, err = tx.Create(ctx, r); err != nil {
		return nil, taken(err, "shop", "this title")
	}
	if onBehalf != "" {
		d := &pb.Delegation{Shop: shop.GetName(), Account: c.Account, Note: onBehalf, CreateAccount: c.Account}
		if _, err := access.Delegate(ctx, tx, d); err != nil {
			return nil, tied(err, d)
		}
	} else if err := own(ctx, tx, c, shop.GetName(), pb.Relation_RELATION_KEEPER); err != nil {
		return nil, err
	}
	return record.Shop(r)
}

func shopRecord(ctx context.Context, shop *pb.Shop, keeper string) (store.Record, error) {
	body, err := record.Signed(shop, access.From(ctx).Author())
	return store.Record{
		Name: shop.GetName(), Collection: store.Shops, Key: titleKey(keeper, shop.GetTitle()), Body: body,
	}, err
}

func (s *shopService) GetShop(ctx context.Context, req *pb.GetShopRequest) (*pb.GetShopResponse, error) {
	shop, err := get(ctx, s.store, store.Shops, req.GetName(), record.Shop)
	if err != nil {
		return nil, err
	}
	if err := s.may(ctx, s.store, theShop(ctx, s.store, shop.GetName())); err != nil {
		return nil, err
	}
	if err := s.countSeen(ctx, shop); err != nil {
		return nil, err
	}
	return &pb.GetShopResponse{Shop: shop}, nil
}

// countSeen fills in how many lots of shops the caller sees: the one thing about a
// shop that is not in its record.
func (s *shopService) countSeen(ctx context.Context, shops ...*pb.Shop) error {
	for _, shop := range shops {
		all, err := access.SeesDrafts(ctx, s.store, access.From(ctx), shop.GetName())
		if err != nil {
			return err
		}
		if all {
			err = countLots(ctx, s.store, shop)
		} else {
			shop.LotCount, err = s.publicLots(ctx, shop.GetName())
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// publicLots is how many lots of a shop everybody may see, as far as the index has
// come.
func (r *Registry) publicLots(ctx context.Context, shop string) (int32, error) {
	found, err := r.index.Search(ctx, search.Query{Filter: &pb.LotFilter{Shop: shop, States: publicStates}, Limit: 1})
	if err != nil {
		return 0, err
	}
	return int32(found.Total), nil
}

// countLots fills in how many lots shops have.
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
	asked := &pb.ListShopsRequest{Title: req.GetTitle(), OwnOnly: req.GetOwnOnly()}
	listing, err := s.listing(ctx, store.Shops, asked, req)
	if err != nil {
		return nil, err
	}
	shops, next, err := s.shopsListed(ctx, listing, trade.FoldTitle(req.GetTitle()), req.GetOwnOnly())
	if err != nil {
		return nil, err
	}
	if err := s.countSeen(ctx, shops...); err != nil {
		return nil, err
	}
	return &pb.ListShopsResponse{Shops: shops, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

// shopsListed is a page of the shops that the caller sees, of all or of a title, or
// of their own among them.
func (s *shopService) shopsListed(ctx context.Context, l store.Listing, title string, own bool) ([]*pb.Shop, uint64, error) {
	switch local := access.From(ctx).Local; {
	case own && !local:
		return s.ownShops(ctx, l, title)
	case title != "" && !local:
		return s.shopsTitled(ctx, l, title)
	}
	return listOrFind(ctx, s.store, l, title, record.Shop, func(shop *pb.Shop) (bool, error) {
		return s.sees(ctx, s.store, theShop(ctx, s.store, shop.GetName()))
	})
}

func (s *shopService) UpdateShop(ctx context.Context, req *pb.UpdateShopRequest) (*pb.UpdateShopResponse, error) {
	var answer *pb.UpdateShopResponse
	err := s.store.Write(ctx, func(tx store.Tx) error {
		before, err := get(ctx, tx, store.Shops, req.GetShop().GetName(), record.Shop)
		if err != nil {
			return err
		}
		if err := s.may(ctx, tx, theShop(ctx, tx, before.GetName())); err != nil {
			return err
		}
		if etag := req.GetShop().GetEtag(); etag != "" && etag != before.GetEtag() {
			return stale(before.GetName(), before.GetEtag())
		}
		answer, err = s.updateShop(ctx, tx, before, req)
		return err
	})
	return answer, err
}

func (s *shopService) updateShop(ctx context.Context, tx store.Tx, before *pb.Shop, req *pb.UpdateShopRequest) (*pb.UpdateShopResponse, error) {
	shop := proto.CloneOf(before)
	if err := change(shop, req.GetShop(), req.GetUpdateMask(), shopFields); err != nil {
		return nil, err
	}
	if err := s.checkedShop(shop); err != nil {
		return nil, err
	}
	if proto.Equal(before, shop) {
		return &pb.UpdateShopResponse{Shop: before, Change: before.GetRevision()}, countLots(ctx, tx, before)
	}
	if err := goBetweenMayShop(ctx, tx, shop.GetName()); err != nil {
		return nil, err
	}
	shop.UpdateTime = now(tx)
	keeper, err := titleHolder(ctx, tx, shop.GetName())
	if err != nil {
		return nil, err
	}
	r, err := shopRecord(ctx, shop, keeper)
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
	for r, err := range store.Each(ctx, tx, store.Listing{Collection: store.Lots, Parent: after.GetName()}) {
		if err != nil {
			return last, err
		}
		if last, err = rewriteLot(ctx, tx, r, after); err != nil {
			return 0, err
		}
	}
	return last, nil
}

func rewriteLot(ctx context.Context, tx store.Tx, r store.Record, shop *pb.Shop) (uint64, error) {
	lot, err := record.Lot(r)
	if err != nil {
		return 0, err
	}
	showShop(lot, shop)
	lot.UpdateTime = now(tx)
	if r.Body, err = record.Signed(lot, access.From(ctx).Author()); err != nil {
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
