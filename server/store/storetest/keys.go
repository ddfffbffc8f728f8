package storetest

import (
	"testing"

	"heirpress/server/store"
)

func keys(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"unique":                  keyUnique,
		"unique under its parent": keyScope,
		"none":                    keyNone,
		"kept by its own update":  keyKept,
		"freed by update":         keyFreedByUpdate,
		"freed by delete":         keyFreedByDelete,
		"as it is written":        keyExact,
	})
}

func keyed(name, parent, key string) store.Record {
	r := lot(name, parent)
	r.Key = key
	return r
}

func keyUnique(t *testing.T, s store.Store) {
	create(t, s, keyed("a", "p", "17"), keyed("b", "p", "18"))
	write(t, s, func(tx store.Tx) error {
		_, err := tx.Create(t.Context(), keyed("c", "p", "17"))
		wantExists(t, "Create", err, store.ExistsError{Name: "a", Key: "17"})
		_, err = tx.Update(t.Context(), keyed("b", "p", "17"))
		wantExists(t, "Update", err, store.ExistsError{Name: "a", Key: "17"})
		return nil
	})
	wantSame(t, "b keeps its key", must[store.Record](t)(s.Find(t.Context(), store.Lots, "p", "18")).Name, "b")
	wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), 2)
}

func keyScope(t *testing.T, s store.Store) {
	shop := store.Record{Name: "s", Collection: store.Shops, Parent: "p", Key: "17"}
	create(t, s, keyed("a", "p", "17"), keyed("b", "q", "17"), keyed("c", "", "17"), shop)
	for want, at := range map[string]store.Record{
		"a": keyed("", "p", "17"), "b": keyed("", "q", "17"), "c": keyed("", "", "17"), "s": shop,
	} {
		got := must[store.Record](t)(s.Find(t.Context(), at.Collection, at.Parent, "17"))
		wantSame(t, "Find", got.Name, want)
	}
}

func keyNone(t *testing.T, s store.Store) {
	create(t, s, lot("a", "p"), lot("b", "p"))
	_, err := s.Find(t.Context(), store.Lots, "p", "")
	wantErr(t, "Find of no key", err, store.ErrNotFound)
}

func keyKept(t *testing.T, s store.Store) {
	create(t, s, keyed("a", "p", "17"))
	r := update(t, s, keyed("a", "p", "17"))
	wantSame(t, "Find", must[store.Record](t)(s.Find(t.Context(), store.Lots, "p", "17")), r)
}

func keyFreedByUpdate(t *testing.T, s store.Store) {
	create(t, s, keyed("a", "p", "17"))
	write(t, s, func(tx store.Tx) error {
		if _, err := tx.Update(t.Context(), keyed("a", "p", "18")); err != nil {
			return err
		}
		_, err := tx.Create(t.Context(), keyed("b", "p", "17"))
		return err
	})
	wantSame(t, "17", must[store.Record](t)(s.Find(t.Context(), store.Lots, "p", "17")).Name, "b")
	wantSame(t, "18", must[store.Record](t)(s.Find(t.Context(), store.Lots, "p", "18")).Name, "a")
}

func keyFreedByDelete(t *testing.T, s store.Store) {
	create(t, s, keyed("a", "p", "17"))
	remove(t, s, "a")
	_, err := s.Find(t.Context(), store.Lots, "p", "17")
	wantErr(t, "Find", err, store.ErrNotFound)
	create(t, s, keyed("b", "p", "17"))
	wantSame(t, "Find", must[store.Record](t)(s.Find(t.Context(), store.Lots, "p", "17")).Name, "b")
}

// keyExact: folding a key is the caller's work, so case and accents tell here.
func keyExact(t *testing.T, s store.Store) {
	create(t, s, keyed("a", "p", "fount"), keyed("b", "p", "Fount"), keyed("c", "p", "fount "), keyed("d", "p", "foünt"))
	wantSame(t, "Find", must[store.Record](t)(s.Find(t.Context(), store.Lots, "p", "Fount")).Name, "b")
}
