package server

import (
	"context"
	"slices"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

// titleKey is the key of a shop or wanted list of a title. Titles are their owner's
// where there are accounts: nobody is to learn of a draft, or of what another looks
// for, by being told that a title is taken. What nobody has, as what was made before
// there were accounts, shares its titles.
func titleKey(owner, title string) string {
	if owner == "" {
		return trade.FoldTitle(title)
	}
	return owner + "\n" + trade.FoldTitle(title) // which has no line's end in it
}

// shopsTitled is a page of the shops of a title that the caller sees. Where the
// caller keeps one, or speaks for one, it is that.
func (s *shopService) shopsTitled(ctx context.Context, l store.Listing, title string) ([]*pb.Shop, uint64, error) {
	if found, next, err := s.ownShops(ctx, l, title); err != nil || len(found) > 0 {
		return found, next, err
	}
	return pageSeen(ctx, s.store, l, record.Shop, func(shop *pb.Shop) (bool, error) {
		if trade.FoldTitle(shop.GetTitle()) != title {
			return false, nil
		}
		return s.sees(ctx, s.store, theShop(ctx, s.store, shop.GetName()))
	})
}

// ownShops is a page of the shops that the caller keeps or speaks for, of all or of
// a title.
func (s *shopService) ownShops(ctx context.Context, l store.Listing, title string) ([]*pb.Shop, uint64, error) {
	own, err := ownRecords(ctx, s.store, l.Collection)
	if err != nil {
		return nil, 0, err
	}
	return pageRecords(own, l, record.Shop, func(shop *pb.Shop) (bool, error) {
		return title == "" || trade.FoldTitle(shop.GetTitle()) == title, nil
	})
}

// ownRecords are the shops or wanted lists that the caller has a tie to, in the
// order they were made.
func ownRecords(ctx context.Context, from store.Reader, c store.Collection) ([]store.Record, error) {
	ties, err := access.TiesOf(ctx, from, access.From(ctx).Account)
	if err != nil {
		return nil, err
	}
	names := make([]string, len(ties))
	for i, t := range ties {
		names[i] = t.GetThing()
	}
	records, err := from.GetMany(ctx, names)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(records, byCreation)
	return slices.DeleteFunc(records, func(r store.Record) bool { return r.Collection != c }), nil
}

// pageRecords is pageSeen, of records that are at hand.
func pageRecords[T any](records []store.Record, l store.Listing, read func(store.Record) (T, error), sees func(T) (bool, error)) (out []T, next uint64, err error) {
	for _, r := range records {
		switch {
		case r.Created <= l.After:
			continue
		case len(out) == l.Limit:
			return out, next, nil
		}
		next = r.Created
		if out, err = appendSeen(out, r, read, sees); err != nil {
			return nil, 0, err
		}
	}
	return out, 0, nil
}
