package storetest

import (
	"context"
	"fmt"

	"pgregory.net/rapid"

	"heirpress/server/store"
)

// What Compare draws from is small, so that operations meet often.
var (
	someName       = rapid.SampledFrom([]string{"a", "b", "c", "d", "A", "é", ""})
	someCollection = rapid.SampledFrom([]store.Collection{store.Lots, store.Shops})
	someParent     = rapid.SampledFrom([]string{"", "p", "q"})
	someKey        = rapid.SampledFrom([]string{"", "", "k", "K", "l"})
	someBody       = rapid.SliceOfN(rapid.Byte(), 0, 5)
	someNumber     = rapid.Uint64Range(0, 30)
	someLimit      = rapid.IntRange(0, 4)
	someFollower   = rapid.SampledFrom([]string{"index", "alerts"})
	someID         = rapid.SampledFrom([]string{"q1", "q2", "q3", ""})
)

func drawRecord(t *rapid.T) store.Record {
	return store.Record{
		Name:       someName.Draw(t, "name"),
		Collection: someCollection.Draw(t, "collection"),
		Parent:     someParent.Draw(t, "parent"),
		Key:        someKey.Draw(t, "key"),
		Open:       rapid.Bool().Draw(t, "open"),
		Body:       someBody.Draw(t, "body"),
	}
}

// drawStep draws something to do in a transaction.
func drawStep(t *rapid.T) step {
	r := drawRecord(t)
	switch rapid.SampledFrom([]string{"create", "create", "update", "delete", "erase", "cursor", "remember", "read"}).Draw(t, "step") {
	case "create":
		return func(ctx context.Context, tx store.Tx) (string, error) {
			w, err := tx.Create(ctx, r)
			return text(w), err
		}
	case "update":
		return func(ctx context.Context, tx store.Tx) (string, error) {
			w, err := tx.Update(ctx, r)
			return text(w), err
		}
	case "delete":
		return func(ctx context.Context, tx store.Tx) (string, error) {
			n, err := tx.Delete(ctx, r.Name)
			return fmt.Sprint(n), err
		}
	case "erase":
		return func(ctx context.Context, tx store.Tx) (string, error) {
			n, err := tx.Erase(ctx, r.Name)
			return fmt.Sprint(n), err
		}
	case "cursor":
		follower, to := someFollower.Draw(t, "follower"), someNumber.Draw(t, "to")
		return func(ctx context.Context, tx store.Tx) (string, error) { return "", tx.MoveCursor(ctx, follower, to) }
	case "remember":
		a := store.Answer{ID: someID.Draw(t, "id"), Fingerprint: r.Body, Body: r.Body, Change: someNumber.Draw(t, "change")}
		return func(ctx context.Context, tx store.Tx) (string, error) { return "", tx.Remember(ctx, a) }
	}
	ask := drawRead(t)
	return func(ctx context.Context, tx store.Tx) (string, error) { return ask(ctx, tx) }
}

// drawRead draws one question.
func drawRead(t *rapid.T) question {
	switch rapid.SampledFrom([]string{"get", "many", "find", "list", "count", "changes", "history"}).Draw(t, "read") {
	case "get":
		name := someName.Draw(t, "name")
		return answered(func(ctx context.Context, s store.Reader) (store.Record, error) { return s.Get(ctx, name) })
	case "many":
		asked := rapid.SliceOfN(someName, 0, 5).Draw(t, "names")
		return answered(func(ctx context.Context, s store.Reader) ([]store.Record, error) {
			found, err := s.GetMany(ctx, asked)
			return sorted(found), err
		})
	case "find":
		c, parent, key := someCollection.Draw(t, "collection"), someParent.Draw(t, "parent"), someKey.Draw(t, "key")
		return answered(func(ctx context.Context, s store.Reader) (store.Record, error) { return s.Find(ctx, c, parent, key) })
	case "list":
		l := drawListing(t)
		return answered(func(ctx context.Context, s store.Reader) ([]store.Record, error) { return s.List(ctx, l) })
	case "count":
		c, parent := someCollection.Draw(t, "collection"), someParent.Draw(t, "parent")
		return answered(func(ctx context.Context, s store.Reader) (int, error) { return s.Count(ctx, c, parent) })
	case "changes":
		after, limit := someNumber.Draw(t, "after"), someLimit.Draw(t, "limit")
		of := rapid.SliceOfN(someCollection, 0, 3).Draw(t, "of")
		return answered(func(ctx context.Context, s store.Reader) ([]store.Change, error) {
			return s.Changes(ctx, after, limit, of...)
		})
	}
	name, before, limit := someName.Draw(t, "name"), someNumber.Draw(t, "before"), someLimit.Draw(t, "limit")
	return answered(func(ctx context.Context, s store.Reader) ([]store.Change, error) {
		return s.History(ctx, name, before, limit)
	})
}

func drawListing(t *rapid.T) store.Listing {
	return store.Listing{
		Collection: someCollection.Draw(t, "collection"),
		Parent:     someParent.Draw(t, "parent"),
		AnyParent:  rapid.Bool().Draw(t, "any parent"),
		OpenOnly:   rapid.Bool().Draw(t, "open only"),
		After:      someNumber.Draw(t, "after"),
		Limit:      someLimit.Draw(t, "limit"),
	}
}

// answered makes a question whose answer can be compared.
func answered[T any](ask func(context.Context, store.Reader) (T, error)) question {
	return func(ctx context.Context, s store.Reader) (string, error) {
		v, err := ask(ctx, s)
		return text(v), err
	}
}

// readAll asks for all that a store holds.
func readAll(ctx context.Context, s store.Reader) (string, error) {
	all := ""
	for _, c := range []store.Collection{store.Lots, store.Shops} {
		found, err := s.List(ctx, store.Listing{Collection: c, AnyParent: true})
		if err != nil {
			return "", err
		}
		all += text(found)
	}
	changes, err := s.Changes(ctx, 0, 0)
	if err != nil {
		return "", err
	}
	head, err := s.Head(ctx)
	if err != nil {
		return "", err
	}
	all += text(changes) + fmt.Sprint(head)
	for _, follower := range []string{"index", "alerts"} {
		at, err := s.Cursor(ctx, follower)
		if err != nil {
			return "", err
		}
		all += fmt.Sprint(" ", follower, at)
	}
	for _, id := range []string{"q1", "q2", "q3"} {
		a, err := s.Recall(ctx, id)
		all += text(a) + kind(err)
	}
	return all, nil
}
