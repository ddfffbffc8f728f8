package deliver

import (
	"context"

	"heirpress/server/store"
)

// Counts are how many records of each kind there are, counted up to MostCounted.
type Counts struct {
	// Outbox are alerts that wait to be packed, Dispatches those that wait to be
	// sent, DeadLetters those that were given up.
	Outbox, Dispatches, DeadLetters int
}

// MostCounted is as far as Count counts: more is as bad.
const MostCounted = 10_000

// Count counts what waits to be delivered.
func Count(ctx context.Context, s store.Reader) (c Counts, err error) {
	for collection, to := range map[store.Collection]*int{store.Outbox: &c.Outbox, store.Dispatches: &c.Dispatches} {
		if *to, err = countOpen(ctx, s, collection); err != nil {
			return c, err
		}
	}
	c.DeadLetters, err = s.Count(ctx, store.DeadLetters, "")
	return c, err
}

func countOpen(ctx context.Context, s store.Reader, of store.Collection) (n int, err error) {
	for l := (store.Listing{Collection: of, AnyParent: true, OpenOnly: true}); n < MostCounted; {
		page, err := s.List(ctx, l)
		if err != nil || len(page) == 0 {
			return n, err
		}
		n += len(page)
		l.After = page[len(page)-1].Created
	}
	return MostCounted, nil
}
