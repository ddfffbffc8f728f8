package memory_test

import (
	"testing"
	"time"

	"heirpress/server/store"
	"heirpress/server/store/memory"
	"heirpress/server/store/storetest"
)

func TestStore(t *testing.T) {
	storetest.Run(t, func(t *testing.T, clock func() time.Time) store.Store {
		s := memory.NewAt(clock)
		t.Cleanup(func() { s.Close() })
		return s
	})
}
