package server

import (
	"cmp"
	"context"
	"slices"

	"google.golang.org/grpc"

	"heirpress/server/access"
	"heirpress/server/store"
)

func byCreation(a, b store.Record) int { return cmp.Compare(a.Created, b.Created) }

// parentsSeen are the shops or wanted lists of which the caller sees what is listed
// under them, as alerts and notices are; all tells that it is every one.
func (r *Registry) parentsSeen(ctx context.Context, kind access.Kind) (parents []string, all bool, err error) {
	c := access.From(ctx)
	method, _ := grpc.Method(ctx)
	rules := access.Table[method]
	if c.Local {
		return nil, true, nil
	}
	if everything, err := rules.Of(access.Operator, kind, stateless); c.Operator && everything == access.Yes {
		return nil, true, err
	}
	ties, err := access.TiesOf(ctx, r.store, c.Account)
	if err != nil {
		return nil, false, err
	}
	for _, t := range ties {
		seen, err := r.sees(ctx, r.store, thing{kind: kind, of: t.GetThing(), state: stateless})
		if err != nil {
			return nil, false, err
		}
		if seen {
			parents = append(parents, t.GetThing())
		}
	}
	return parents, false, nil
}

// pageOf is a page of what the caller sees of alerts or notices: those under one
// wanted list or shop, or, without one, under all.
func pageOf[T any](ctx context.Context, r *Registry, kind access.Kind, l store.Listing, parent string, read func(store.Record) (T, error)) ([]T, uint64, error) {
	if parent != "" {
		seen, err := r.sees(ctx, r.store, thing{kind: kind, of: parent, state: stateless})
		if err != nil || !seen {
			return nil, 0, err
		}
		l.Parent = parent
		return page(ctx, r.store, l, read)
	}
	parents, all, err := r.parentsSeen(ctx, kind)
	if err != nil {
		return nil, 0, err
	}
	if all {
		l.AnyParent = true
		return page(ctx, r.store, l, read)
	}
	return pageUnder(ctx, r.store, l, parents, read)
}

// pageUnder is page, of what is listed under any of some parents.
func pageUnder[T any](ctx context.Context, from store.Reader, l store.Listing, parents []string, read func(store.Record) (T, error)) (out []T, next uint64, err error) {
	records, err := firstUnder(ctx, from, l, parents, l.Limit+1)
	if err != nil {
		return nil, 0, err
	}
	if len(records) > l.Limit {
		records = records[:l.Limit]
		next = records[l.Limit-1].Created
	}
	for _, r := range records {
		one, err := read(r)
		if err != nil {
			return nil, 0, err
		}
		out = append(out, one)
	}
	return out, next, nil
}

// firstUnder are the first n records under some parents, in the order they were
// made. It holds no more than a few for each parent, and the n: it reads each a
// little at a time, and goes on with the one that is behind.
func firstUnder(ctx context.Context, from store.Reader, l store.Listing, parents []string, n int) ([]store.Record, error) {
	if len(parents) == 0 {
		return nil, nil
	}
	l.AnyParent, l.Limit = false, n/len(parents)+2
	queues := make([]queue, len(parents))
	for i, parent := range parents {
		queues[i] = queue{listing: l}
		queues[i].listing.Parent = parent
		if err := queues[i].fill(ctx, from); err != nil {
			return nil, err
		}
	}
	var out []store.Record
	for len(out) < n {
		i := oldest(queues)
		if i < 0 {
			break
		}
		out = append(out, queues[i].records[0])
		queues[i].records = queues[i].records[1:]
		if err := queues[i].fill(ctx, from); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// A queue is what is listed under one parent, read a little at a time.
type queue struct {
	listing store.Listing
	records []store.Record
	ended   bool
}

// fill reads on if nothing is left.
func (q *queue) fill(ctx context.Context, from store.Reader) (err error) {
	if len(q.records) > 0 || q.ended {
		return nil
	}
	if q.records, err = from.List(ctx, q.listing); err != nil {
		return err
	}
	q.ended = len(q.records) < q.listing.Limit
	if n := len(q.records); n > 0 {
		q.listing.After = q.records[n-1].Created
	}
	return nil
}

// oldest is the queue whose first was made first, or -1.
func oldest(queues []queue) int {
	at := slices.IndexFunc(queues, func(q queue) bool { return len(q.records) > 0 })
	for i := at + 1; at >= 0 && i < len(queues); i++ {
		if q := queues[i]; len(q.records) > 0 && q.records[0].Created < queues[at].records[0].Created {
			at = i
		}
	}
	return at
}
