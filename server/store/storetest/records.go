package storetest

import (
	"bytes"
	"strings"
	"testing"

	"heirpress/server/store"
)

func records(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"create":        recordCreate,
		"update":        recordUpdate,
		"delete":        recordDelete,
		"anew":          recordAnew,
		"name taken":    recordNameTaken,
		"not found":     recordNotFound,
		"many":          recordMany,
		"bodies":        recordBodies,
		"no aliasing":   recordAliasing,
		"unusual names": recordUnusual,
		"refused":       recordRefused,
	})
}

func recordCreate(t *testing.T, s store.Store) {
	r := store.Record{Name: "shops/a/lots/b", Collection: store.Lots, Parent: "shops/a",
		Key: "17", Open: true, Body: []byte("platen"), Created: 99, Revision: 98}
	written := create(t, s, r)[0]
	r.Created, r.Revision = 1, 1
	wantSame(t, "Create", written, r)
	wantSame(t, "Get", must[store.Record](t)(s.Get(t.Context(), r.Name)), r)
}

func recordUpdate(t *testing.T, s store.Store) {
	create(t, s, lot("a", "p"), lot("b", "p"))
	written := update(t, s, store.Record{Name: "a", Collection: store.Shops, Parent: "q",
		Key: "k", Open: true, Body: []byte("new"), Created: 77, Revision: 78})
	want := store.Record{Name: "a", Collection: store.Lots, Parent: "p",
		Key: "k", Open: true, Body: []byte("new"), Created: 1, Revision: 3}
	wantSame(t, "Update", written, want)
	wantSame(t, "Get", must[store.Record](t)(s.Get(t.Context(), "a")), want)
	want = update(t, s, store.Record{Name: "a"})
	wantSame(t, "emptied", want, store.Record{Name: "a", Collection: store.Lots, Parent: "p", Created: 1, Revision: 4})
}

func recordDelete(t *testing.T, s store.Store) {
	create(t, s, lot("a", ""), lot("b", ""))
	if n := remove(t, s, "a"); n != 3 {
		t.Errorf("Delete answered change %d, want 3", n)
	}
	_, err := s.Get(t.Context(), "a")
	wantErr(t, "Get after Delete", err, store.ErrNotFound)
	wantSame(t, "the others", names(must[[]store.Record](t)(s.List(t.Context(), store.Listing{Collection: store.Lots}))), []string{"b"})
}

func recordAnew(t *testing.T, s store.Store) {
	create(t, s, lot("a", ""))
	remove(t, s, "a")
	again := create(t, s, lot("a", ""))[0]
	if again.Created != 3 || again.Revision != 3 {
		t.Errorf("made anew: created %d, revision %d, want 3, 3", again.Created, again.Revision)
	}
}

func recordNameTaken(t *testing.T, s store.Store) {
	r := lot("a", "p")
	r.Key = "k"
	create(t, s, r)
	write(t, s, func(tx store.Tx) error {
		_, err := tx.Create(t.Context(), r)
		wantExists(t, "same name and key", err, store.ExistsError{Name: "a"})
		other := store.Record{Name: "a", Collection: store.Shops}
		_, err = tx.Create(t.Context(), other)
		wantExists(t, "same name in another collection", err, store.ExistsError{Name: "a"})
		_, err = tx.Create(t.Context(), lot("b", "p"))
		return err // the transaction goes on
	})
	wantSame(t, "Get", must[store.Record](t)(s.Get(t.Context(), "b")).Created, 2)
}

func recordNotFound(t *testing.T, s store.Store) {
	ctx := t.Context()
	_, err := s.Get(ctx, "none")
	wantErr(t, "Get", err, store.ErrNotFound)
	_, err = s.Find(ctx, store.Lots, "", "none")
	wantErr(t, "Find", err, store.ErrNotFound)
	_, err = s.Recall(ctx, "none")
	wantErr(t, "Recall", err, store.ErrNotFound)
	write(t, s, func(tx store.Tx) error {
		_, err := tx.Get(ctx, "none")
		wantErr(t, "Get in Write", err, store.ErrNotFound)
		_, err = tx.Update(ctx, store.Record{Name: "none"})
		wantErr(t, "Update", err, store.ErrNotFound)
		_, err = tx.Delete(ctx, "none")
		wantErr(t, "Delete", err, store.ErrNotFound)
		_, err = tx.Create(ctx, lot("a", ""))
		return err // the transaction goes on
	})
	wantSame(t, "Head", must[uint64](t)(s.Head(ctx)), 1)
}

func recordMany(t *testing.T, s store.Store) {
	create(t, s, lot("a", ""), lot("b", ""), lot("c", ""))
	ask := func(names ...string) []store.Record {
		return sorted(must[[]store.Record](t)(s.GetMany(t.Context(), names)))
	}
	wantSame(t, "some", names(ask("c", "none", "a", "c")), []string{"a", "c"})
	wantSame(t, "none", len(ask("none")), 0)
	wantSame(t, "nothing asked", len(ask()), 0)
}

func recordBodies(t *testing.T, s store.Store) {
	for name, body := range map[string][]byte{
		"nil":   nil,
		"empty": {},
		"bytes": {0, 1, 0xff, 0, '\''},
		"big":   bytes.Repeat([]byte("heirpress "), 200_000),
		"most":  make([]byte, store.MaxBody),
	} {
		r := create(t, s, store.Record{Name: name, Collection: store.Lots, Body: body})[0]
		got := must[store.Record](t)(s.Get(t.Context(), name))
		if !bytes.Equal(got.Body, body) {
			t.Errorf("%s: read back %d bytes that differ from the %d written", name, len(got.Body), len(body))
		}
		change := must[[]store.Change](t)(s.Changes(t.Context(), r.Created-1, 1))[0]
		if !bytes.Equal(change.Record.Body, body) {
			t.Errorf("%s: the journal's body differs from the one written", name)
		}
	}
}

func recordAliasing(t *testing.T, s store.Store) {
	ctx := t.Context()
	r := lot("a", "")
	want := string(r.Body)
	create(t, s, r)
	write(t, s, func(tx store.Tx) error {
		return tx.Remember(ctx, store.Answer{ID: "q", Fingerprint: r.Body, Body: r.Body})
	})
	clear(r.Body)
	clear(must[store.Record](t)(s.Get(ctx, "a")).Body)
	clear(must[[]store.Record](t)(s.GetMany(ctx, []string{"a"}))[0].Body)
	clear(must[[]store.Record](t)(s.List(ctx, store.Listing{Collection: store.Lots}))[0].Body)
	clear(must[[]store.Change](t)(s.Changes(ctx, 0, 0))[0].Record.Body)
	clear(must[[]store.Change](t)(s.History(ctx, "a", 0, 0))[0].Record.Body)
	answer := must[store.Answer](t)(s.Recall(ctx, "q"))
	wantSame(t, "the answer", string(answer.Fingerprint)+string(answer.Body), want+want)
	clear(answer.Fingerprint)
	clear(answer.Body)
	wantSame(t, "the answer again", string(must[store.Answer](t)(s.Recall(ctx, "q")).Body), want)
	wantSame(t, "the record", string(must[store.Record](t)(s.Get(ctx, "a")).Body), want)
	wantSame(t, "the journal", string(must[[]store.Change](t)(s.Changes(ctx, 0, 0))[0].Record.Body), want)
}

func recordUnusual(t *testing.T, s store.Store) {
	for _, name := range []string{
		"shops/ænes/lots/Größe 12", "店/活字", "it's \"quoted\"; DROP TABLE record; --", "%_?*", " ",
		"e\u0301", "\u00e9", "A", "a", strings.Repeat("long", store.MaxText/4),
	} {
		r := store.Record{Name: name, Collection: "collection " + store.Collection(name[:1]), Parent: name, Key: name}
		if len(name) > 1 {
			r.Collection = store.Lots
		}
		want := create(t, s, r)[0]
		wantSame(t, "Get", must[store.Record](t)(s.Get(t.Context(), name)), want)
		wantSame(t, "Find", must[store.Record](t)(s.Find(t.Context(), r.Collection, name, name)), want)
		listed := must[[]store.Record](t)(s.List(t.Context(), store.Listing{Collection: r.Collection, Parent: name}))
		wantSame(t, "List", listed, []store.Record{want})
	}
}

func recordRefused(t *testing.T, s store.Store) {
	long := strings.Repeat("x", store.MaxText+1)
	big := make([]byte, store.MaxBody+1)
	create(t, s, lot("a", ""))
	for _, c := range []struct {
		field  string
		record store.Record
	}{
		{"record.name", store.Record{Collection: store.Lots}},
		{"record.name", store.Record{Name: long, Collection: store.Lots}},
		{"record.name", store.Record{Name: "\xff", Collection: store.Lots}},
		{"record.name", store.Record{Name: "a\x00b", Collection: store.Lots}},
		{"record.collection", store.Record{Name: "b"}},
		{"record.parent", store.Record{Name: "b", Collection: store.Lots, Parent: "\xff"}},
		{"record.key", store.Record{Name: "b", Collection: store.Lots, Key: long}},
		{"record.body", store.Record{Name: "b", Collection: store.Lots, Body: big}},
	} {
		write(t, s, func(tx store.Tx) error {
			_, err := tx.Create(t.Context(), c.record)
			wantInvalid(t, "Create", err, c.field)
			return nil
		})
	}
	write(t, s, func(tx store.Tx) error {
		_, err := tx.Update(t.Context(), store.Record{Name: "a", Key: long})
		wantInvalid(t, "Update", err, "record.key")
		_, err = tx.Update(t.Context(), store.Record{Name: "a", Body: big})
		wantInvalid(t, "Update", err, "record.body")
		return nil
	})
	wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), 1)
}
