package sqlite

import (
	"bytes"
	"context"
	"time"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
)

var _ store.Movable = (*Store)(nil)

// Cursors is store.Movable's.
func (s *Store) Cursors(ctx context.Context) (map[string]uint64, error) {
	return read(ctx, s, func(q *session) (map[string]uint64, error) {
		all := map[string]uint64{}
		err := q.query(ctx, `SELECT follower, change FROM cursor`, func(s *sqlite3.Stmt) {
			all[s.ColumnText(0)] = uint64(s.ColumnInt64(1))
		})
		return all, err
	})
}

// Answers is store.Movable's.
func (s *Store) Answers(ctx context.Context, after string, most int) ([]store.Answer, error) {
	return read(ctx, s, func(q *session) (found []store.Answer, err error) {
		err = q.query(ctx, `SELECT id, fingerprint, body, change FROM answer WHERE id > ? ORDER BY id LIMIT ?`,
			func(s *sqlite3.Stmt) { found = append(found, answer(s)) }, after, limit(most))
		return found, err
	})
}

func answer(s *sqlite3.Stmt) store.Answer {
	return store.Answer{
		ID:          s.ColumnText(0),
		Fingerprint: bytes.Clone(s.ColumnRawBlob(1)),
		Body:        bytes.Clone(s.ColumnRawBlob(2)),
		Change:      uint64(s.ColumnInt64(3)),
	}
}

// Replay is store.Movable's.
func (s *Store) Replay(ctx context.Context, changes []store.Change) error {
	return s.transact(ctx, func(t *tx) error {
		return store.Replay(ctx, t, changes, func(at time.Time) { t.now = at })
	})
}
