package storetest

import (
	"fmt"
	"testing"
	"time"

	"heirpress/server/store"
)

func journal(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"entries":     journalEntries,
		"after":       journalAfter,
		"collections": journalCollections,
		"history":     journalHistory,
		"empty":       journalEmpty,
		"erased":      journalErased,
		"unerased":    journalUnerased,
	})
	t.Run("times", func(t *testing.T) { journalTimes(t, open) })
}

// numbers returns the change numbers of entries.
func numbers(changes []store.Change) []uint64 {
	var all []uint64
	for _, c := range changes {
		all = append(all, c.Number)
	}
	return all
}

func journalEntries(t *testing.T, s store.Store) {
	a := create(t, s, keyed("a", "p", "17"))[0]
	b := a
	b.Key, b.Open, b.Body = "18", true, []byte("new")
	b = update(t, s, b)
	remove(t, s, "a")
	last := b
	last.Revision = 3
	got := must[[]store.Change](t)(s.Changes(t.Context(), 0, 0))
	want := []store.Change{
		{Number: 1, Op: store.OpCreate, Record: a},
		{Number: 2, Op: store.OpUpdate, Record: b},
		{Number: 3, Op: store.OpDelete, Record: last},
	}
	for i := range min(len(got), len(want)) {
		if got[i].Time.IsZero() || got[i].Time.Location() != time.UTC {
			t.Errorf("change %d has time %v", i+1, got[i].Time)
		}
		want[i].Time = got[i].Time
	}
	wantSame(t, "Changes", got, want)
	wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), 3)
}

// erase erases a record's past.
func erase(t *testing.T, s store.Store, name string) (n int) {
	t.Helper()
	write(t, s, func(tx store.Tx) (err error) {
		n, err = tx.Erase(t.Context(), name)
		return err
	})
	return n
}

// bodies are those of a record's journal entries, in order.
func bodies(t *testing.T, s store.Store, name string) (all []string) {
	t.Helper()
	for _, c := range must[[]store.Change](t)(s.History(t.Context(), name, 0, 0)) {
		all = append([]string{string(c.Record.Body)}, all...)
	}
	return all
}

// journalErased: what a record was goes, and what it is stays, until it is no more.
func journalErased(t *testing.T, s store.Store) {
	a := create(t, s, keyed("a", "p", "17"), keyed("b", "p", "18"))[0]
	for _, body := range []string{"one", "two"} {
		a.Body = []byte(body)
		update(t, s, a)
	}
	wantSame(t, "erased", erase(t, s, "a"), 2)
	wantSame(t, "bodies", bodies(t, s, "a"), []string{"", "", "two"})
	wantSame(t, "the record", string(must[store.Record](t)(s.Get(t.Context(), "a")).Body), "two")
	wantSame(t, "erased again", erase(t, s, "a"), 0)
	remove(t, s, "a")
	wantSame(t, "erased when it was no more", erase(t, s, "a"), 2)
	wantSame(t, "bodies", bodies(t, s, "a"), []string{"", "", "", ""})
	create(t, s, keyed("a", "q", "17"))
	wantSame(t, "erased when it was made anew", erase(t, s, "a"), 0)
	wantSame(t, "another's bodies", len(bodies(t, s, "b")[0]) > 0, true)
	wantSame(t, "erased of none", erase(t, s, "none"), 0)
	wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), 6)
	if err := Check(t.Context(), s); err != nil {
		t.Error(err)
	}
}

// journalUnerased: what is erased in a transaction that is given up is there still.
func journalUnerased(t *testing.T, s store.Store) {
	create(t, s, lot("a", ""))
	remove(t, s, "a")
	err := s.Write(t.Context(), func(tx store.Tx) error {
		if n, err := tx.Erase(t.Context(), "a"); n != 2 || err != nil {
			t.Errorf("erased %d, %v", n, err)
		}
		return errRefused
	})
	wantErr(t, "Write", err, errRefused)
	wantSame(t, "bodies", bodies(t, s, "a"), []string{"body of a", "body of a"})
}

func journalAfter(t *testing.T, s store.Store) {
	stand(t, s)
	for _, c := range []struct {
		after uint64
		limit int
		want  []uint64
	}{
		{0, 3, []uint64{1, 2, 3}}, {3, 2, []uint64{4, 5}}, {5, 9, []uint64{6, 7}}, {7, 9, nil}, {1 << 63, 9, nil},
	} {
		got := must[[]store.Change](t)(s.Changes(t.Context(), c.after, c.limit))
		wantSame(t, fmt.Sprintf("Changes(%d, %d)", c.after, c.limit), numbers(got), c.want)
	}
}

func journalCollections(t *testing.T, s store.Store) {
	create(t, s, lot("a", ""), store.Record{Name: "s", Collection: store.Shops}, lot("b", ""),
		store.Record{Name: "w", Collection: store.WantedLists})
	remove(t, s, "s")
	for _, c := range []struct {
		of   []store.Collection
		want []uint64
	}{
		{[]store.Collection{store.Lots}, []uint64{1, 3}},
		{[]store.Collection{store.Shops}, []uint64{2, 5}},
		{[]store.Collection{store.Shops, store.WantedLists, store.Shops}, []uint64{2, 4, 5}},
		{[]store.Collection{store.Alerts}, nil},
	} {
		got := must[[]store.Change](t)(s.Changes(t.Context(), 0, 0, c.of...))
		wantSame(t, fmt.Sprintf("Changes of %v", c.of), numbers(got), c.want)
	}
	got := must[[]store.Change](t)(s.Changes(t.Context(), 1, 1, store.Lots))
	wantSame(t, "the limit counts what is returned", numbers(got), []uint64{3})
}

func journalHistory(t *testing.T, s store.Store) {
	create(t, s, lot("a", ""), lot("b", ""))
	update(t, s, lot("a", ""))
	update(t, s, lot("b", ""))
	remove(t, s, "a")
	create(t, s, lot("a", ""))
	for _, c := range []struct {
		name   string
		before uint64
		limit  int
		want   []uint64
	}{
		{"a", 0, 0, []uint64{6, 5, 3, 1}}, {"a", 0, 2, []uint64{6, 5}}, {"a", 5, 0, []uint64{3, 1}},
		{"a", 1, 0, nil}, {"a", 1<<64 - 1, 1, []uint64{6}}, {"b", 0, 0, []uint64{4, 2}}, {"none", 0, 0, nil},
	} {
		got := must[[]store.Change](t)(s.History(t.Context(), c.name, c.before, c.limit))
		wantSame(t, fmt.Sprintf("History(%q, %d, %d)", c.name, c.before, c.limit), numbers(got), c.want)
	}
	got := must[[]store.Change](t)(s.History(t.Context(), "b", 0, 1))
	wantSame(t, "an entry", got, must[[]store.Change](t)(s.Changes(t.Context(), 3, 1)))
}

func journalEmpty(t *testing.T, s store.Store) {
	write(t, s, func(store.Tx) error { return nil })
	wantSame(t, "Head", must[uint64](t)(s.Head(t.Context())), 0)
	wantSame(t, "Changes", len(must[[]store.Change](t)(s.Changes(t.Context(), 0, 0))), 0)
}

// journalTimes steps the clock back: the journal's times stand still until the
// clock has caught up.
func journalTimes(t *testing.T, open Open) {
	noon := time.Date(2031, 5, 4, 12, 0, 0, 123456789, time.FixedZone("", 3600))
	now := noon
	s := open(t, func() time.Time { return now })
	for i, step := range []struct {
		clock, want time.Duration
	}{{0, 0}, {time.Hour, time.Hour}, {-time.Hour, time.Hour}, {time.Hour - time.Microsecond, time.Hour}, {2 * time.Hour, 2 * time.Hour}} {
		now = noon.Add(step.clock)
		want := noon.Add(step.want).UTC().Truncate(time.Microsecond)
		write(t, s, func(tx store.Tx) error {
			wantSame(t, "Now", tx.Now(), want)
			for _, part := range []string{"a", "b"} {
				if _, err := tx.Create(t.Context(), lot(fmt.Sprint(i, part), "")); err != nil {
					return err
				}
			}
			return nil
		})
		for _, c := range must[[]store.Change](t)(s.Changes(t.Context(), uint64(2*i), 0)) {
			wantSame(t, "Time", c.Time, want)
		}
	}
}
