package server

import (
	"context"

	"google.golang.org/protobuf/proto"

	"heirpress/server/store"
)

// A paged request asks for one page of a list.
type paged interface {
	GetPageSize() int32
	GetPageToken() string
}

// listing reads how much a request asks for, and from where. asked is the
// request without its page: a token is good only for the request it was given
// for, and in the hands of whom it was given to.
func (r *Registry) listing(ctx context.Context, c store.Collection, asked proto.Message, req paged) (store.Listing, error) {
	size, err := pageSize(req.GetPageSize(), defaultPage)
	if err != nil {
		return store.Listing{}, err
	}
	after, ok := r.tokensOf(ctx).openNumber(asked, req.GetPageToken())
	if !ok {
		return store.Listing{}, badPageToken()
	}
	return store.Listing{Collection: c, After: after, Limit: size}, nil
}

func (r *Registry) nextPage(ctx context.Context, asked proto.Message, next uint64) string {
	if next == 0 {
		return ""
	}
	return r.tokensOf(ctx).sealNumber(asked, next)
}

// listOrFind reads a page of what the caller sees, or, if a key is asked for, the
// one that has it.
func listOrFind[T any](ctx context.Context, from store.Reader, l store.Listing, key string,
	read func(store.Record) (T, error), sees func(T) (bool, error),
) ([]T, uint64, error) {
	if key == "" {
		return pageSeen(ctx, from, l, read, sees)
	}
	found, err := keyed(ctx, from, l.Collection, l.Parent, key, read, sees)
	return found, 0, err
}
