package backup_test

import (
	"testing"

	"github.com/ncruces/go-sqlite3"
)

// spoil changes a registry behind the back of the store.
func spoil(t *testing.T, path, sql string) {
	t.Helper()
	db, err := sqlite3.Open("file:" + path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Exec(sql); err != nil {
		t.Fatal(err)
	}
}
