//go:build unix

package main

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
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

var faults = flag.Int("faults", 0, "how many faults TestBadDay makes; 0 is the short form")

// TestBadDay makes bad days, and prints a table of the faults and what came of
// them. The long form:
//
//	go test ./client/heirpress -run BadDay -v -timeout 0 -faults 1000
func TestBadDay(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	table := newDayTable()
	t.Run("shared", func(t *testing.T) { badDayShared(t, table) })
	t.Run("alone", func(t *testing.T) { badDayAlone(t, table) })
	t.Logf("until every daemon takes a write, finds it and has alerted it:\n%s", table)
}

// badDayShared has three daemons share one PostgreSQL. While 8 writers post and 8
// searchers search, something bad happens again and again. After each, every
// acknowledged lot is found by every daemon, and alerted once. In the end that is
// so of a daemon whose index is new as well; a repeat of what was cut off doubles
// nothing.
func badDayShared(t *testing.T, table *dayTable) {
	b := newBadDay(t, table)
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() { b.write(ctx, fmt.Sprint("w", i)) })
		all.Go(func() { b.search(ctx) })
	}
	all.Go(func() { b.listen(ctx) })
	for i := range cmp.Or(*faults, shortForm) {
		b.strike(t, faultsOf[i%len(faultsOf)])
	}
	stop()
	all.Wait()
	t.Logf("%d lots acknowledged, %d searches answered, %d calls cut off", len(b.lots), b.searches, b.cut)
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

const (
	diskFull = "the disk of a daemon's index full for 1 s"
	// shortForm is how many of the faults the short form makes, each once.
	shortForm = 9
)

var faultsOf = []fault{
	{"a daemon killed", func(t *testing.T, b *badDay) { b.anyDaemon().restart(t) }},
	{"PostgreSQL stopped at once", func(t *testing.T, b *badDay) { b.server.Crash(t); b.server.Restart(t) }},
	{"the matcher's daemon killed", func(t *testing.T, b *badDay) { b.daemons[b.matcher(t)].restart(t) }},
	{"PostgreSQL killed", func(t *testing.T, b *badDay) { b.server.Kill(t); b.server.Restart(t) }},
	{"a daemon cut off from PostgreSQL for 4 s", func(t *testing.T, b *badDay) {
		b.proxy.Cut()
		time.Sleep(4 * time.Second)
		b.proxy.Mend()
	}},
	{"an index truncated", func(t *testing.T, b *badDay) { b.spoil(t, truncateHalf) }},
	{"an index with a bit flipped", func(t *testing.T, b *badDay) { b.spoil(t, flipBit) }},
	{"a daemon's clock set 2 h forward, back, and right", func(t *testing.T, b *badDay) { b.clock.jump(t) }},
	{diskFull, func(t *testing.T, b *badDay) { b.disk.full(t, time.Second) }},
	{"the matcher's daemon frozen for 5 s", func(t *testing.T, b *badDay) { b.daemons[b.matcher(t)].freeze(t, 5*time.Second) }},
	{"both PostgreSQL and a daemon killed", func(t *testing.T, b *badDay) {
		b.server.Kill(t)
		b.anyDaemon().restartWith(t, func() { b.server.Restart(t) })
	}},
}

func (b *badDay) anyDaemon() *daemonSlot { return b.daemons[rand.IntN(len(b.daemons))] }

// spoil kills a daemon, damages its index, and starts it again.
func (b *badDay) spoil(t *testing.T, damage func(string) error) {
	n := rand.IntN(len(b.daemons))
	b.daemons[n].restartWith(t, func() { spoilIndex(t, b.folders[n], damage) })
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
	told     map[string]int // how often a follower was told of a lot

	table   *dayTable
	proxy   *pgtest.Proxy // between the second daemon and PostgreSQL
	clock   clock         // the third daemon's
	disk    *smallDisk    // the first daemon's data folder; nil if it cannot be had
	folders []string      // their data folders, as this process reaches them
}

func newBadDay(t *testing.T, table *dayTable) *badDay {
	server := pgtest.Start(t)
	b := &badDay{t: t, server: server, address: server.URL("postgres"), k: &killing{}, table: table, told: map[string]int{}}
	b.proxy, b.clock = pgtest.NewProxy(t, server), newClock(t)
	b.first(t)
	b.place(t, []string{daemonPath}, filepath.Join(t.TempDir(), "d"), b.proxy.URL("heirpress"))
	b.place(t, b.clock.program(), filepath.Join(t.TempDir(), "d"), b.address, "--clock", string(b.clock))
	b.k.prepare(t, b.daemons[0].get())
	return b
}

// first starts the first daemon, on a small disk if there can be one.
func (b *badDay) first(t *testing.T) {
	disk, err := newSmallDisk(t, 48)
	if err != nil {
		b.table.cannot(diskFull, err.Error())
		b.place(t, []string{daemonPath}, filepath.Join(t.TempDir(), "d"), b.address)
		return
	}
	b.disk = disk
	b.place(t, disk.program(daemonPath), disk.dir, b.address)
	b.folders[0] = disk.path("")
}

// place starts a daemon in a place of its own.
func (b *badDay) place(t *testing.T, program []string, data, store string, more ...string) {
	store = fmt.Sprintf("%s&application_name=%d", store, len(b.daemons))
	d := &daemonSlot{program: program, args: append([]string{"--data", data, "--store", store}, more...)}
	d.live = launchBy(t, d.program, d.args...)
	t.Cleanup(func() { d.get().kill() })
	b.daemons, b.folders = append(b.daemons, d), append(b.folders, data)
}

// daemonSlot is the place of a daemon, in which others follow it.
type daemonSlot struct {
	program []string // nil is heirpressd
	args    []string
	mu      sync.Mutex
	live    *live
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
	program := d.program
	if program == nil {
		program = []string{daemonPath}
	}
	started := launchBy(t, program, d.args...)
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
		if *faults == 0 {
			time.Sleep(30 * time.Millisecond) // the fewer lots, the sooner they are checked
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

// listen follows the alerts, on any daemon, and counts how often it is told of a
// lot.
func (b *badDay) listen(ctx context.Context) {
	for token := ""; ctx.Err() == nil; time.Sleep(20 * time.Millisecond) {
		token = b.listenOnce(ctx, token)
	}
}

// listenOnce follows one stream, until nothing has come of it for some seconds:
// its daemon may be frozen or cut off.
func (b *badDay) listenOnce(ctx context.Context, token string) string {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	const silence = 3 * time.Second
	quiet := time.AfterFunc(silence, cancel)
	defer quiet.Stop()
	stream, err := b.anyDaemon().get().alerts.StreamAlerts(ctx, &pb.StreamAlertsRequest{ResumeToken: token})
	for err == nil {
		var event *pb.StreamAlertsResponse
		if event, err = stream.Recv(); err != nil {
			break
		}
		quiet.Reset(silence)
		token = event.GetResumeToken()
		if a := event.GetAlert(); a != nil {
			b.mu.Lock()
			b.told[a.GetLot().GetName()]++
			b.mu.Unlock()
		}
	}
	return token
}

// strike makes a fault, and measures how long it takes from its end until every
// daemon has taken a write, finds it, and shows its alert.
func (b *badDay) strike(t *testing.T, f fault) {
	if b.table.not[f.name] != "" {
		return
	}
	time.Sleep(time.Duration(200+rand.IntN(300)) * time.Millisecond)
	before := b.doubled()
	f.do(t, b)
	over := time.Now()
	for _, slot := range b.daemons {
		b.goesOn(t, slot)
	}
	what := outcome{recovery: time.Since(over)}
	what.lostWrites, what.lostAlerts = b.lost(t)
	what.doubled = b.doubled() - before
	b.table.add(f.name, what)
	if what.lostWrites+what.lostAlerts+what.doubled > 0 {
		t.Errorf("%s: %+v", f.name, what)
	}
}

// lost counts the acknowledged lots that some daemon does not find, and those of
// which the follower is not told.
func (b *badDay) lost(t *testing.T) (writes, alerts int) {
	b.mu.Lock()
	lots, change := slices.Clone(b.lots), b.change
	b.mu.Unlock()
	for _, slot := range b.daemons {
		ctx, cancel := context.WithTimeout(t.Context(), aLongTime)
		got, err := slot.get().search.SearchLots(ctx, &pb.SearchLotsRequest{
			Filter: &pb.LotFilter{Words: "gothic"}, Order: pb.LotOrder_LOT_ORDER_NEWEST, PageSize: 1, AtLeastChange: change})
		cancel()
		if err != nil {
			t.Errorf("a daemon that had gone on answers %v", err)
		}
		writes = max(writes, len(lots)-int(got.GetTotalSize()))
	}
	for until := time.Now().Add(aLongTime); ; time.Sleep(5 * time.Millisecond) {
		if alerts = b.untold(lots); alerts == 0 || time.Now().After(until) {
			return writes, alerts
		}
	}
}

func (b *badDay) untold(lots []*pb.Lot) (n int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, l := range lots {
		if b.told[l.GetName()] == 0 {
			n++
		}
	}
	return n
}

func (b *badDay) doubled() (n int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, times := range b.told {
		n += times - 1
	}
	return n
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

// check compares what was acknowledged with what a daemon finds and has alerted.
func (b *badDay) check(t *testing.T, d *live) {
	want := map[string]bool{}
	for _, l := range b.lots {
		want[l.GetName()] = true
	}
	once(t, "the search", want, found(t, d, b.change))
	once(t, "the inbox", want, alerted(t, d, b.change))
}
