package store

import (
	"context"
	"iter"
)

// Each goes through all records of a listing, in the order they were created,
// however many there are: it lists Limit of them at a time, each time as they then
// stand. An error comes last, with no record.
func Each(ctx context.Context, from Reader, l Listing) iter.Seq2[Record, error] {
	return func(yield func(Record, error) bool) {
		for {
			records, err := from.List(ctx, l)
			if err != nil {
				yield(Record{}, err)
				return
			}
			for _, r := range records {
				l.After = r.Created
				if !yield(r, nil) {
					return
				}
			}
			if len(records) == 0 {
				return
			}
		}
	}
}
