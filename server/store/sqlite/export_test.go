package sqlite

import (
	"context"
	"time"

	"github.com/ncruces/go-sqlite3"
)

// OnVFS keeps the registry on another of SQLite's file systems.
func OnVFS(name string) Option { return func(s *Store) { s.file.vfs = name } }

// Plan tells how SQLite goes about a statement.
func (s *Store) Plan(ctx context.Context, sql string) (plan string, err error) {
	return read(ctx, s, func(q *session) (string, error) {
		err := q.query(ctx, "EXPLAIN QUERY PLAN "+sql, func(s *sqlite3.Stmt) { plan += s.ColumnText(3) + "; " })
		return plan, err
	})
}

// The statements whose plans are tested.
var (
	FindSQL    = findSQL
	HistorySQL = historySQL
	EraseSQL   = eraseSQL
	ListSQL    = listSQL
	ChangesSQL = changesSQL
)

// Patience sets how long to wait for another program until undo is called.
func Patience(d time.Duration) (undo func()) {
	old := patience
	patience = d
	return func() { patience = old }
}

// Poll sets how often to look for other processes' writes until undo is called.
func Poll(d time.Duration) (undo func()) {
	old := poll
	poll = d
	return func() { poll = old }
}
