package postgres

import (
	"context"
	"time"
)

// Now is what time it is by the database's clock.
func (s *Store) Now(ctx context.Context) (time.Time, error) {
	return read(ctx, s, func(q *session) (now time.Time, err error) {
		err = q.c.QueryRow(ctx, `SELECT clock_timestamp()`).Scan(&now)
		if err != nil {
			err = q.place.failure(ctx, err)
		}
		return now.UTC(), err
	})
}
