//go:build unix

package postgres_test

import (
	"context"
	"flag"
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/memory"
	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
	"heirpress/server/store/storetest"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

// open opens the registry at an address for the length of a test.
func open(t testing.TB, address string, options ...postgres.Option) *postgres.Store {
	t.Helper()
	s, err := postgres.Open(context.Background(), address, options...)
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
	server := pgtest.Shared(t)
	storetest.Run(t, func(t *testing.T, clock func() time.Time) store.Store {
		return open(t, server.Schema(), postgres.Clock(clock))
	})
}

// TestCompare keeps all its registries in one schema, one after the other: to
// make a schema takes longer than to play a game.
func TestCompare(t *testing.T) {
	if testing.Short() {
		t.Skip("takes ten times as long with the race detector")
	}
	games := flag.Lookup("rapid.checks")
	defer games.Value.Set(games.Value.String())
	games.Value.Set("40") // the suite has been through most of it
	server := pgtest.Shared(t)
	address := server.Schema()
	schema := open(t, address).Schema()
	last := ""
	storetest.Compare(t,
		func(clock func() time.Time) store.Store { return memory.NewAt(clock) },
		func(folder string, clock func() time.Time) (store.Store, error) {
			if folder != last {
				server.Exec(t, `SET search_path = `+schema+`; DELETE FROM record; DELETE FROM journal;
					DELETE FROM cursor; DELETE FROM answer; UPDATE registry SET head = 0, time = 0`)
				last = folder
			}
			return postgres.Open(context.Background(), address, postgres.Clock(clock))
		})
}
