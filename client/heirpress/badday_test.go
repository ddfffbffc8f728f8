//go:build unix

package main

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store/postgres/pgtest"
)

var faults = flag.Int("faults", 4, "how many faults TestBadDay makes")

// TestBadDay has three daemons share one PostgreSQL. While 8 writers post and 8
// searchers search, daemons and PostgreSQL itself are killed again and again. In
// the end every acknowledged lot is there, found by every daemon and by one whose
// index is new, and alerted once; a repeat of what was cut off doubles nothing.
//
// The long form: go test ./client/heirpress -run BadDay -v -timeout 0 -faults 1000
func TestBadDay(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	b := newBadDay(t)
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() { b.write(ctx, fmt.Sprint("w", i)) })
		all.Go(func() { b.search(ctx) })
	}
	for i := range *faults {
		b.strike(t, faultsOf[i%len(faultsOf)])
	}
	stop()
	all.Wait()
	b.report(t)
	for _, d := range b.daemons {
		b.check(t, d.get())
	}
	fresh := launch(t, "--data", filepath.Join(t.TempDir(), "fresh"), "--store", b.address)
	defer fresh.kill()
	b.k.check(t, fresh, b.lots)
}

// fault is something bad that happens to a registry. It returns when all that
// was stopped runs again.
type fault struct {
	name string
	do   func(*testing.T, *badDay)
}

var faultsOf = []fault{
	{"a daemon killed", func(t *testing.T, b *badDay) { b.daemons[rand.IntN(len(b.daemons))].restart(t) }},
	{"PostgreSQL stopped at once", func(t *testing.T, b *badDay) { b.server.Crash(t); b.server.Restart(t) }},
	{"the matcher's daemon killed", func(t *testing.T, b *badDay) { b.daemons[b.matcher(t)].restart(t) }},
	{"PostgreSQL killed", func(t *testing.T, b *badDay) { b.server.Kill(t); b.server.Restart(t) }},
	{"the matcher's daemon frozen for 5 s", func(t *testing.T, b *badDay) { b.daemons[b.matcher(t)].freeze(t, 5*time.Second) }},
	{"both PostgreSQL and a daemon killed", func(t *testing.T, b *badDay) {
		b.server.Kill(t)
		b.daemons[rand.IntN(len(b.daemons))].restartWith(t, func() { b.server.Restart(t) })
	}},
}

// badDay is a registry of three daemons, and what was acknowledged by it.
type badDay struct {
	t       *testing.T
	server  *pgtest.Server
	address string
	daemons []*daemonSlot
	k       *killing // the shop, and how to check

	mu       sync.Mutex
	lots     []*pb.Lot // acknowledged
	change   uint64    // the last of them
	cut      int       // calls that were cut off
	searches int

	recovered map[string][]time.Duration // by fault: until writes, searches and alerts go on
}

func newBadDay(t *testing.T) *badDay {
	server := pgtest.Start(t)
	b := &badDay{t: t, server: server, address: server.URL("postgres"), k: &killing{}, recovered: map[string][]time.Duration{}}
	for i := range 3 {
		d := &daemonSlot{args: []string{"--data", filepath.Join(t.TempDir(), "registry"),
			"--store", fmt.Sprintf("%s&application_name=%d", b.address, i)}}
		d.live = launch(t, d.args...)
		t.Cleanup(func() { d.get().kill() })
		b.daemons = append(b.daemons, d)
	}
	b.k.prepare(t, b.daemons[0].get())
	return b
}

// daemonSlot is the place of a daemon, in which others follow it.
type daemonSlot struct {
	args []string
	mu   sync.Mutex
	live *live
}

func (d *daemonSlot) get() *live {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.live
}

func (d *daemonSlot) restart(t *testing.T) { d.restartWith(t, func() {}) }

// restartWith kills the daemon and starts another when something else was done.
func (d *daemonSlot) restartWith(t *testing.T, then func()) {
	d.get().kill()
	then()
	started := launch(t, d.args...)
	d.mu.Lock()
	defer d.mu.Unlock()
	d.live = started
}

// freeze stops the daemon in the middle of what it does, and lets it go on when
// others have long taken over.
func (d *daemonSlot) freeze(t *testing.T, long time.Duration) {
	p := d.get().cmd.Process
	if err := p.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	time.Sleep(long)
	if err := p.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
}

// matcher is the daemon that runs the matcher, as soon as one does.
func (b *badDay) matcher(t *testing.T) int {
	var n int
	for until := time.Now().Add(aLongTime); time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		c, err := pgx.Connect(t.Context(), b.address)
		if err != nil {
			continue
		}
		err = c.QueryRow(t.Context(), `SELECT split_part(application_name, '/', 1)::int FROM pg_locks JOIN pg_stat_activity USING (pid)
			WHERE locktype = 'advisory' AND granted AND application_name LIKE '%/matcher'`).Scan(&n)
		c.Close(t.Context())
		if err == nil {
			return n
		}
	}
	t.Fatal("no daemon runs the matcher")
	return 0
}

// write posts one request after the other, each to any daemon, until all is
// over; the last is seen through.
func (b *badDay) write(ctx context.Context, writer string) {
	for n := 0; ctx.Err() == nil; n++ {
		req := &pb.BatchCreateLotsRequest{Parent: b.k.shop, RequestId: fmt.Sprint(writer, "-", n)}
		for i := range 1 + rand.IntN(3) {
			req.Lots = append(req.Lots, &pb.Lot{
				Tag: fmt.Sprint(req.RequestId, "-", i), Kind: pb.Kind_KIND_WOOD_TYPE, Title: "Gothic wood type, 12 line"})
		}
		for !b.post(req) {
			time.Sleep(20 * time.Millisecond)
		}
	}
}

// post sends a request once and tells whether it has its answer.
func (b *badDay) post(req *pb.BatchCreateLotsRequest) bool {
	d := b.daemons[rand.IntN(len(b.daemons))].get()
	ctx, cancel := context.WithTimeout(context.Background(), 15*time.Second) // a frozen daemon never answers
	defer cancel()
	answer, err := d.lots.BatchCreateLots(ctx, req)
	if err != nil {
		return !b.cutOff(err)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.lots = append(b.lots, answer.GetLots()...)
	b.change = max(b.change, answer.GetChange())
	return true
}

// cutOff tells whether a call may be made again.
func (b *badDay) cutOff(err error) bool {
	switch status.Code(err) {
	case codes.Unavailable, codes.DeadlineExceeded, codes.Canceled: // the last by kill, of this side
	default:
		b.t.Errorf("got %v, want an answer or UNAVAILABLE", err)
		return false
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.cut++
	return true
}

// search asks any daemon for no less than all that was acknowledged so far, and
// must be told of all that.
func (b *badDay) search(ctx context.Context) {
	for ctx.Err() == nil {
		time.Sleep(5 * time.Millisecond)
		b.mu.Lock()
		change, lots := b.change, len(b.lots)
		b.mu.Unlock()
		if !b.found(change, lots) {
			time.Sleep(20 * time.Millisecond)
		}
	}
}

func (b *badDay) found(change uint64, lots int) bool {
	ctx, cancel := context.WithTimeout(context.Background(), 15*time.Second)
	defer cancel()
	d := b.daemons[rand.IntN(len(b.daemons))].get()
	got, err := d.search.SearchLots(ctx, &pb.SearchLotsRequest{
		Filter: &pb.LotFilter{Words: "gothic"}, Order: pb.LotOrder_LOT_ORDER_NEWEST, PageSize: 1, AtLeastChange: change})
	if err != nil {
		return !b.cutOff(err)
	}
	if int(got.GetTotalSize()) < lots || got.GetChange() < change {
		b.t.Errorf("%d lots were found at change %d, when %d had been acknowledged up to %d", got.GetTotalSize(), got.GetChange(), lots, change)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.searches++
	return true
}

// strike makes a fault, and measures how long it takes from its end until every
// daemon has taken a write, finds it, and shows its alert.
func (b *badDay) strike(t *testing.T, f fault) {
	time.Sleep(time.Duration(200+rand.IntN(300)) * time.Millisecond)
	f.do(t, b)
	over := time.Now()
	for _, slot := range b.daemons {
		b.goesOn(t, slot)
	}
	b.recovered[f.name] = append(b.recovered[f.name], time.Since(over))
}

func (b *badDay) goesOn(t *testing.T, slot *daemonSlot) {
	req := &pb.ListAlertsRequest{PageSize: 1}
	for until := time.Now().Add(aLongTime); time.Now().Before(until); time.Sleep(10 * time.Millisecond) {
		b.mu.Lock()
		lots, change := len(b.lots), b.change
		b.mu.Unlock()
		ctx, cancel := context.WithTimeout(t.Context(), 15*time.Second)
		req.AtLeastChange = change
		_, err := slot.get().alerts.ListAlerts(ctx, req)
		cancel()
		if err == nil && b.found(change, lots) {
			return
		}
	}
	t.Fatal("a daemon never went on")
}

// report prints the table of faults and what came of them.
func (b *badDay) report(t *testing.T) {
	var table strings.Builder
	fmt.Fprintf(&table, "%-40s %6s %12s %12s\n", "fault", "times", "median", "longest")
	for _, f := range faultsOf {
		all := b.recovered[f.name]
		if len(all) == 0 {
			continue
		}
		slices.Sort(all)
		fmt.Fprintf(&table, "%-40s %6d %12v %12v\n", f.name, len(all), all[len(all)/2].Round(time.Millisecond), all[len(all)-1].Round(time.Millisecond))
	}
	t.Logf("%d lots acknowledged, %d searches answered, %d calls cut off\nuntil every daemon searches and alerts up to the last write:\n%s",
		len(b.lots), b.searches, b.cut, table.String())
}

// check compares what was acknowledged with what a daemon finds and has alerted.
func (b *badDay) check(t *testing.T, d *live) {
	want := map[string]bool{}
	for _, l := range b.lots {
		want[l.GetName()] = true
	}
	once(t, "the search", want, found(t, d, b.change))
	once(t, "the inbox", want, alerted(t, d, b.change))
}
