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
