//go:build unix

package postgres_test

import (
	"context"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"heirpress/server/store/postgres"
	"heirpress/server/store/postgres/pgtest"
)

// aLongTime is for something that will never happen, not for timing it.
const aLongTime = 30 * time.Second

// leader tells when it has the task, and when not.
type leader struct {
	name    string
	holding *atomic.Int32 // of all leaders
	got     chan string
	left    chan string
}

func (l leader) do(ctx context.Context) {
	l.holding.Add(1)
	l.got <- l.name
	<-ctx.Done()
	l.holding.Add(-1)
	l.left <- l.name
}

func receive(t *testing.T, what string, from <-chan string) string {
	t.Helper()
	select {
	case name := <-from:
		return name
	case <-time.After(aLongTime):
		t.Fatalf("%s: nobody", what)
		return ""
	}
}

// TestLead hands a task on when its holder stops, one holder at a time.
func TestLead(t *testing.T) {
	address := pgtest.Shared(t).Schema()
	var holding atomic.Int32
	got, left := make(chan string, 10), make(chan string, 10)
	stop := map[string]func(){}
	var all sync.WaitGroup
	for _, name := range []string{"a", "b", "c"} {
		s := open(t, address)
		ctx, cancel := context.WithCancel(t.Context())
		stop[name] = cancel
		all.Go(func() { s.Lead(ctx, "task", leader{name, &holding, got, left}.do) })
	}
	seen := map[string]bool{}
	for range 3 {
		holder := receive(t, "the task", got)
		if n := holding.Load(); n != 1 || seen[holder] {
			t.Errorf("%d hold the task; %s had it before: %t", n, holder, seen[holder])
		}
		seen[holder] = true
		stop[holder]()
		receive(t, "the end", left)
	}
	all.Wait()
}

// TestLeadTasks: one process may have several tasks, and registries in one
// database do not share any.
func TestLeadTasks(t *testing.T) {
	server := pgtest.Shared(t)
	address := server.Schema()
	var holding atomic.Int32
	got, left := make(chan string, 10), make(chan string, 10)
	for _, one := range []struct{ address, task string }{{address, "a"}, {address, "b"}, {server.Schema(), "a"}} {
		s := open(t, one.address)
		go s.Lead(t.Context(), one.task, leader{one.task, &holding, got, left}.do)
	}
	for range 3 {
		receive(t, "a task", got)
	}
}

// TestLeadCut cuts the holder off without a word to anybody: the holder stops of
// itself, another gets the task, and when the line is whole again there is still
// one holder.
func TestLeadCut(t *testing.T) {
	server := pgtest.Shared(t)
	address := server.Schema()
	proxy := pgtest.NewProxy(t, server)
	far := open(t, proxy.URL(schemaOf(address)), postgres.Patience(100*time.Millisecond))
	near := open(t, address)
	var holding atomic.Int32
	got, left := make(chan string, 10), make(chan string, 10)
	go far.Lead(t.Context(), "task", leader{"far", &holding, got, left}.do)
	receive(t, "the task", got)
	go near.Lead(t.Context(), "task", leader{"near", &holding, got, left}.do)
	proxy.Cut()
	cut := time.Now()
	receive(t, "the end", left)
	stopped := time.Since(cut)
	if next := receive(t, "the task", got); next != "near" {
		t.Errorf("%s got the task", next)
	}
	t.Logf("cut off: its holder stopped after %v, another had the task after %v", stopped.Round(time.Millisecond), time.Since(cut).Round(time.Millisecond))
	proxy.Mend()
	time.Sleep(time.Second)
	if n := holding.Load(); n != 1 {
		t.Errorf("%d hold the task", n)
	}
}
