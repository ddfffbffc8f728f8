package storetest

import (
	"fmt"
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/memory"
)

func moving(t *testing.T, open Open) {
	cases(t, open, map[string]func(*testing.T, store.Store){
		"replayed":  moveReplayed,
		"erased":    moveErased,
		"refused":   moveRefused,
		"cursors":   moveCursors,
		"answers":   moveAnswers,
		"after end": moveClosed,
	})
}

// elsewhere is a journal of every kind of entry, at several times.
func elsewhere(t *testing.T) []store.Change {
	now := time.Date(2001, 2, 3, 4, 5, 6, 7000, time.UTC)
	s := memory.NewAt(func() time.Time { return now })
	a := create(t, s, keyed("a", "p", "17"), keyed("b", "p", "18"))[0]
	now = now.Add(time.Hour)
	a.Open, a.Key, a.Body = true, "19", []byte{0, 1}
	update(t, s, a)
	remove(t, s, "b")
	create(t, s, keyed("b", "q", "18"))
	return must[[]store.Change](t)(s.Changes(t.Context(), 0, 0))
}

// moveReplayed takes a journal over in two parts, and goes on with it.
func moveReplayed(t *testing.T, s store.Store) {
	m := s.(store.Movable)
	want := elsewhere(t)
	for _, part := range [][]store.Change{want[:2], want[2:], nil} {
		if err := m.Replay(t.Context(), part); err != nil {
			t.Fatal(err)
		}
	}
	wantSame(t, "the journal", must[[]store.Change](t)(s.Changes(t.Context(), 0, 0)), want)
	create(t, s, lot("next", ""))
	if err := Check(t.Context(), s); err != nil {
		t.Error(err)
	}
}

// moveErased takes over a journal from which bodies were erased, also while it was
// being read: then what was read before goes too.
func moveErased(t *testing.T, s store.Store) {
	m, from := s.(store.Movable), memory.New()
	a := create(t, from, keyed("a", "p", "17"))[0]
	a.Body = []byte("new")
	update(t, from, a)
	erase(t, from, "a")
	early := must[[]store.Change](t)(from.Changes(t.Context(), 0, 0))
	remove(t, from, "a")
	erase(t, from, "a")
	late := must[[]store.Change](t)(from.Changes(t.Context(), 2, 0))
	for _, part := range [][]store.Change{early, late} {
		if err := m.Replay(t.Context(), part); err != nil {
			t.Fatal(err)
		}
	}
	wantSame(t, "bodies", bodies(t, s, "a"), []string{"", "", ""})
	if err := Check(t.Context(), s); err != nil {
		t.Error(err)
	}
}

// moveRefused: what does not continue the journal is refused as a whole.
func moveRefused(t *testing.T, s store.Store) {
	m := s.(store.Movable)
	all := elsewhere(t)
	if err := m.Replay(t.Context(), all[:2]); err != nil {
		t.Fatal(err)
	}
	for what, change := range map[string]func(*store.Change){
		"a gap":         func(c *store.Change) { c.Number++ },
		"an older time": func(c *store.Change) { c.Time = c.Time.Add(-2 * time.Hour) },
		"a finer time":  func(c *store.Change) { c.Time = c.Time.Add(1) },
		"no operation":  func(c *store.Change) { c.Op = 9 },
		"a creation":    func(c *store.Change) { c.Record.Created = 9 },
		"another place": func(c *store.Change) { c.Record.Parent = "q" },
		"a revision":    func(c *store.Change) { c.Record.Revision = 9 },
	} {
		bad := []store.Change{all[2], all[3], all[4]}
		change(&bad[1])
		wantInvalid(t, what, m.Replay(t.Context(), bad), fmt.Sprint("change ", bad[1].Number))
		wantSame(t, what+": Head", must[uint64](t)(s.Head(t.Context())), 2)
	}
	bad := []store.Change{all[2]}
	bad[0].Record.Name = "none"
	wantErr(t, "no such record", m.Replay(t.Context(), bad), store.ErrNotFound)
}

func moveCursors(t *testing.T, s store.Store) {
	m := s.(store.Movable)
	wantSame(t, "none", must[map[string]uint64](t)(m.Cursors(t.Context())), map[string]uint64{})
	before(t, s)
	wantSame(t, "Cursors", must[map[string]uint64](t)(m.Cursors(t.Context())), map[string]uint64{"index": 2})
}

func moveAnswers(t *testing.T, s store.Store) {
	m := s.(store.Movable)
	all := []store.Answer{{ID: "A", Body: []byte("x"), Change: 3}, {ID: "a", Fingerprint: []byte{1}}, {ID: "b"}, {ID: "é"}}
	for i := range all {
		remember(t, s, all[len(all)-1-i])
	}
	for at := range all {
		after := ""
		if at > 0 {
			after = all[at-1].ID
		}
		got := must[[]store.Answer](t)(m.Answers(t.Context(), after, 2))
		wantSame(t, "Answers", got, all[at:min(at+2, len(all))])
	}
}

func moveClosed(t *testing.T, s store.Store) {
	m := s.(store.Movable)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	_, err := m.Cursors(t.Context())
	wantErr(t, "Cursors", err, store.ErrClosed)
	_, err = m.Answers(t.Context(), "", 0)
	wantErr(t, "Answers", err, store.ErrClosed)
	wantErr(t, "Replay", m.Replay(t.Context(), nil), store.ErrClosed)
}
