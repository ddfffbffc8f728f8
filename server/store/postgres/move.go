package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"heirpress/server/store"
)

var _ store.Movable = (*Store)(nil)

// Cursors is store.Movable's.
func (s *Store) Cursors(ctx context.Context) (map[string]uint64, error) {
	return read(ctx, s, func(q *session) (map[string]uint64, error) {
		all := map[string]uint64{}
		_, err := q.query(ctx, `SELECT follower, change FROM cursor`, func(rows pgx.Rows) error {
			var follower string
			var change uint64
			err := rows.Scan(&follower, &change)
			all[follower] = change
			return err
		})
		return all, err
	})
}

// Answers is store.Movable's.
func (s *Store) Answers(ctx context.Context, after string, most int) ([]store.Answer, error) {
	return read(ctx, s, func(q *session) (found []store.Answer, err error) {
		if !storable(after) {
			return nil, &store.InvalidError{Field: "after", Problem: "is not the ID of an answer"}
		}
		_, err = q.query(ctx, `SELECT id, fingerprint, body, change FROM answer WHERE id > $1 ORDER BY id LIMIT $2`,
			func(rows pgx.Rows) error {
				var a store.Answer
				err := rows.Scan(&a.ID, &a.Fingerprint, &a.Body, &a.Change)
				found = append(found, a)
				return err
			}, after, limit(most))
		return found, err
	})
}

// Replay is store.Movable's.
func (s *Store) Replay(ctx context.Context, changes []store.Change) error {
	return s.transact(ctx, func(t *tx) error {
		return store.Replay(ctx, t, changes, func(at time.Time) { t.now = at })
	})
}
