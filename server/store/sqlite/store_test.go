package sqlite_test

import (
	"path/filepath"
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/sqlite"
	"heirpress/server/store/storetest"
)

// open opens the registry in a file for the length of a test.
func open(t testing.TB, path string, options ...sqlite.Option) *sqlite.Store {
	t.Helper()
	s, err := sqlite.Open(path, options...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func TestStore(t *testing.T) {
	storetest.Run(t, func(t *testing.T, clock func() time.Time) store.Store {
		return open(t, filepath.Join(t.TempDir(), "registry.db"), sqlite.Clock(clock))
	})
}
