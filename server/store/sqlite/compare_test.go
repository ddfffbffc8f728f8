package sqlite_test

import (
	"path/filepath"
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/memory"
	"heirpress/server/store/sqlite"
	"heirpress/server/store/storetest"
)

func TestCompare(t *testing.T) {
	storetest.Compare(t,
		func(clock func() time.Time) store.Store { return memory.NewAt(clock) },
		func(folder string, clock func() time.Time) (store.Store, error) {
			return sqlite.Open(filepath.Join(folder, "registry.db"), sqlite.Clock(clock))
		})
}
