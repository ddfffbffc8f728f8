package memory

import (
	"context"
	"maps"
	"slices"
	"time"

	"heirpress/server/store"
)

var _ store.Movable = (*Store)(nil)

// Cursors is store.Movable's.
func (s *Store) Cursors(ctx context.Context) (map[string]uint64, error) {
	v := s.look()
	return maps.Clone(v.cursors), v.usable(ctx)
}

// Answers is store.Movable's.
func (s *Store) Answers(ctx context.Context, after string, limit int) ([]store.Answer, error) {
	v := s.look()
	if err := v.usable(ctx); err != nil {
		return nil, err
	}
	var found []store.Answer
	for _, id := range slices.Sorted(maps.Keys(v.answers)) {
		if id > after {
			found = append(found, ownAnswer(v.answers[id].Answer))
		}
	}
	return first(found, limit), nil
}

// Replay is store.Movable's.
func (s *Store) Replay(ctx context.Context, changes []store.Change) error {
	return s.transact(ctx, func(t *tx) error {
		return store.Replay(ctx, t, changes, func(at time.Time) { t.now = at })
	})
}
