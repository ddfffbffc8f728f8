package server

import (
	"context"
	"errors"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"heirpress/server/store"
)

// A resource is a message that the store keeps as a record.
type resource interface {
	proto.Message
	GetName() string
}

// called is what a resource of a collection is called in an error.
var called = map[store.Collection]string{
	store.Shops: "shop", store.Lots: "lot", store.WantedLists: "wanted list", store.Alerts: "alert",
	store.Notices: "notice", store.Photos: "photo", store.Accounts: "account", store.Tokens: "token", store.Delegations: "delegation",
	store.PrivatePlaces: "private place", store.Introductions: "introduction", store.Reports: "report",
}

// recordOf reads one record of a collection. A name of another collection names
// nothing here, whatever there may be under it.
func recordOf(ctx context.Context, from store.Reader, c store.Collection, name string) (store.Record, error) {
	r, err := from.Get(ctx, name)
	if errors.Is(err, store.ErrNotFound) || err == nil && r.Collection != c {
		return store.Record{}, notFound(called[c], name)
	}
	return r, err
}

// get reads one resource of a collection by name.
func get[T resource](ctx context.Context, from store.Reader, c store.Collection, name string, read func(store.Record) (T, error)) (T, error) {
	r, err := recordOf(ctx, from, c, name)
	if err != nil {
		var none T
		return none, err
	}
	return read(r)
}

// page reads a page of resources, and the change number to go on after; 0 on
// the last page.
func page[T any](ctx context.Context, from store.Reader, l store.Listing, read func(store.Record) (T, error)) ([]T, uint64, error) {
	return pageSeen(ctx, from, l, read, func(T) (bool, error) { return true, nil })
}

// mostLooked is how many records are looked at for a page of which the caller sees
// only some. A page of fewer than were asked for, or of none, is then followed by
// more.
const mostLooked = 2 * largestPage

// pageSeen is page, of those resources that the caller sees.
func pageSeen[T any](ctx context.Context, from store.Reader, l store.Listing,
	read func(store.Record) (T, error), sees func(T) (bool, error),
) (out []T, next uint64, err error) {
	size := l.Limit
	for looked := 0; ; {
		l.Limit = size + 1
		records, err := from.List(ctx, l)
		if err != nil {
			return nil, 0, err
		}
		for _, r := range records {
			if len(out) == size || looked == mostLooked {
				return out, l.After, nil
			}
			l.After, looked = r.Created, looked+1
			if out, err = appendSeen(out, r, read, sees); err != nil {
				return nil, 0, err
			}
		}
		if len(records) <= size {
			return out, 0, nil
		}
	}
}

// appendSeen reads a record, and appends it if the caller sees it.
func appendSeen[T any](to []T, r store.Record, read func(store.Record) (T, error), sees func(T) (bool, error)) ([]T, error) {
	one, err := read(r)
	if err != nil {
		return nil, err
	}
	seen, err := sees(one)
	if err != nil || !seen {
		return to, err
	}
	return append(to, one), nil
}

// keyed reads the one resource of a key, if the caller sees it, as a page of at most
// one.
func keyed[T any](ctx context.Context, from store.Reader, c store.Collection, parent, key string,
	read func(store.Record) (T, error), sees func(T) (bool, error),
) ([]T, error) {
	r, err := from.Find(ctx, c, parent, key)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return appendSeen(nil, r, read, sees)
}

func now(tx store.Tx) *timestamppb.Timestamp { return timestamppb.New(tx.Now()) }

// taken turns the store's word that a key is taken into a problem.
func taken(err error, kind, what string) error {
	var e *store.ExistsError
	if errors.As(err, &e) {
		return exists(kind, e.Name, what)
	}
	return err
}
