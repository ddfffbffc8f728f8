package sqlite_test

import (
	"path/filepath"
	"strings"
	"testing"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// TestPlans: every statement that answers a Reader finds its rows by an index
// that is already in the order asked for.
func TestPlans(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "registry.db"))
	for name, c := range map[string]struct{ sql, index string }{
		"find":                {sqlite.FindSQL, "record_by_key (collection=? AND parent=? AND key=?)"},
		"list":                {sqlite.ListSQL(store.Listing{}), "record_by_parent (collection=? AND parent=? AND rowid>?)"},
		"list any":            {sqlite.ListSQL(store.Listing{AnyParent: true}), "record_by_collection (collection=? AND rowid>?)"},
		"list open":           {sqlite.ListSQL(store.Listing{OpenOnly: true}), "record_open_by_parent (collection=? AND parent=? AND rowid>?)"},
		"list any open":       {sqlite.ListSQL(store.Listing{OpenOnly: true, AnyParent: true}), "record_open (collection=? AND rowid>?)"},
		"changes":             {sqlite.ChangesSQL(0), "INTEGER PRIMARY KEY (rowid>?)"},
		"changes of two":      {sqlite.ChangesSQL(2), "INTEGER PRIMARY KEY (rowid>?)"},
		"history":             {sqlite.HistorySQL, "journal_by_name (name=? AND rowid<?)"},
		"erase":               {sqlite.EraseSQL, "journal_by_name (name=?)"},
		"forget":              {`DELETE FROM answer WHERE time < ?`, "answer_by_time (time<?)"},
		"count of a parent's": {`SELECT count(*) FROM record WHERE collection = ? AND parent = ?`, "record_by_parent (collection=? AND parent=?)"},
	} {
		plan, err := s.Plan(t.Context(), c.sql)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if !strings.Contains(plan, c.index) || strings.Contains(plan, "SCAN") || strings.Contains(plan, "TEMP B-TREE") {
			t.Errorf("%s: plan %q, want one by %s", name, plan, c.index)
		}
	}
}
