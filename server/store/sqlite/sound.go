package sqlite

import (
	"context"
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"heirpress/server/store"
)

// Sound reads the whole file and returns a *store.UnusableError if SQLite finds
// its pages, indexes or constraints damaged. A flipped bit within a body it does
// not see: that is found by holding records against the journal.
func (s *Store) Sound(ctx context.Context) error {
	found, err := read(ctx, s, func(q *session) (found string, err error) {
		err = q.query(ctx, `PRAGMA integrity_check(1)`, func(s *sqlite3.Stmt) { found = s.ColumnText(0) })
		return found, err
	})
	if err == nil && found != "ok" {
		err = &store.UnusableError{Path: s.file.path, Reason: fmt.Sprintf("it is damaged (%s)", found)}
	}
	return err
}
