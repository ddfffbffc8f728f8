package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// Schema is where the tables are.
func (s *Store) Schema() string { return s.place.schema }

// InLine is how many callers of Write wait for another to end.
func (s *Store) InLine() int { return int(s.inLine.Load()) }

// Plan tells how PostgreSQL goes about a statement.
func (s *Store) Plan(ctx context.Context, sql string, args ...any) (plan string, err error) {
	return read(ctx, s, func(q *session) (string, error) {
		_, err := q.query(ctx, "EXPLAIN "+sql, func(rows pgx.Rows) error {
			var line string
			err := rows.Scan(&line)
			plan += line + "\n"
			return err
		}, args...)
		return plan, err
	})
}

// The statements whose plans are tested.
var (
	FindSQL    = findSQL
	HistorySQL = historySQL
	ListSQL    = listSQL
	ChangesSQL = changesSQL
)
