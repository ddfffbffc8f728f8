package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
)

// TestKill kills the daemon at random moments in the middle of posting, on one
// folder, again and again. In the end every acknowledged lot must be there, be
// found and have been alerted once; what was not acknowledged must have happened
// wholly or not at all, and its repeat must double nothing.
func TestKill(t *testing.T) {
	rounds := 30
	if testing.Short() {
		rounds = 5
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	k := &killing{dir: filepath.Join(t.TempDir(), "registry"), random: rand.New(rand.NewPCG(seed, 0))}
	k.open(t)
	posters := []*poster{{name: "single", most: 1}, {name: "batch", most: 8}, {name: "large", most: 100}}
	for i, p := range posters {
		p.k, p.random = k, rand.New(rand.NewPCG(seed, uint64(i+1)))
	}
	for range rounds {
		k.round(t, posters)
	}
	d := k.start(t)
	defer d.kill()
	var all []*pb.Lot
	for _, p := range posters {
		if !p.settle(t, d) {
			t.Errorf("%s cannot be settled", p.name)
		}
		all = append(all, p.lots...)
		t.Logf("%s: %d requests; %d were cut off when they had been written, %d before", p.name, p.asked, p.written, p.lost)
	}
	t.Logf("%d kills, %d lots acknowledged", rounds, len(all))
	k.check(t, d, all)
}

// killing is the folder that daemons are killed on, and what is in it.
type killing struct {
	dir    string
	random *rand.Rand
	shop   string
}

// live is a running daemon and a connection to it that retries nothing.
type live struct {
	cmd    *exec.Cmd
	conn   *grpc.ClientConn
	lots   pb.LotServiceClient
	search pb.SearchServiceClient
	alerts pb.AlertServiceClient
}

func (k *killing) start(t *testing.T) *live {
	t.Helper()
	return launch(t, "--data", k.dir)
}

// launch starts a daemon on a free port and connects to it.
func launch(t *testing.T, args ...string) *live {
	t.Helper()
	return launchBy(t, []string{daemonPath}, args...)
}

// launchBy starts it by another program than heirpressd itself.
func launchBy(t *testing.T, program []string, args ...string) *live {
	t.Helper()
	args = append([]string{"--listen", "127.0.0.1:0", "--log-level", "error"}, args...)
	cmd := exec.Command(program[0], append(program[1:len(program):len(program)], args...)...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var log logged
	cmd.Stderr = &log
	t.Cleanup(func() {
		if t.Failed() && log.String() != "" {
			t.Logf("%s logged\n%s", program, log.String())
		}
	})
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	address := listening.FindStringSubmatch(line)
	if err != nil || address == nil {
		cmd.Process.Kill()
		cmd.Wait()
		t.Fatalf("the daemon did not start: %v, %q\n%s", err, line, log.String())
	}
	go io.Copy(io.Discard, out)
	conn, err := grpc.NewClient(address[1], grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(64<<20)))
	if err != nil {
		t.Fatal(err)
	}
	return &live{cmd, conn, pb.NewLotServiceClient(conn), pb.NewSearchServiceClient(conn), pb.NewAlertServiceClient(conn)}
}

// logged is what a daemon has logged so far.
type logged struct {
	mu   sync.Mutex
	text strings.Builder
}

// Write is io.Writer's.
func (l *logged) Write(text []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(text)
}

// String is all of it.
func (l *logged) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

func (d *live) kill() {
	d.cmd.Process.Kill()
	d.cmd.Wait()
	d.conn.Close()
}

// open makes the shop, and the want that every lot meets; so does prepare, on a
// daemon that runs.
func (k *killing) open(t *testing.T) {
	d := k.start(t)
	defer d.kill()
	k.prepare(t, d)
}

func (k *killing) prepare(t *testing.T, d *live) {
	shop, err := pb.NewShopServiceClient(d.conn).CreateShop(t.Context(), &pb.CreateShopRequest{
		Shop: &pb.Shop{Title: "A shop under fire", Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	k.shop = shop.GetShop().GetName()
	_, err = pb.NewWantServiceClient(d.conn).CreateWantedList(t.Context(), &pb.CreateWantedListRequest{
		WantedList: &pb.WantedList{Title: "A seeker", Place: "Dayton, OH", Wants: []*pb.Want{
			{Id: "wood", Title: "Wood type", Filter: &pb.LotFilter{Kinds: []pb.Kind{pb.Kind_KIND_WOOD_TYPE}}},
		}}})
	if err != nil {
		t.Fatal(err)
	}
}

// round lets the posters post until the daemon is killed under them.
func (k *killing) round(t *testing.T, posters []*poster) {
	d := k.start(t)
	var posting sync.WaitGroup
	for _, p := range posters {
		posting.Go(func() { p.post(t, d) })
	}
	time.Sleep(time.Duration(k.random.IntN(200_000)) * time.Microsecond)
	d.cmd.Process.Kill()
	posting.Wait()
	d.kill()
}

// A poster posts one request after the other.
type poster struct {
	name   string
	most   int // lots in one request
	k      *killing
	random *rand.Rand

	asked   int                        // requests made so far
	pending *pb.BatchCreateLotsRequest // the one that was cut off, if one was
	lots    []*pb.Lot                  // acknowledged

	written, lost int // of those cut off: had been written, or not
}

// post settles what was cut off before, and goes on until it is cut off again.
func (p *poster) post(t *testing.T, d *live) {
	for p.settle(t, d) {
		p.pending = p.request()
		if !p.send(t, d) {
			return
		}
	}
}

func (p *poster) request() *pb.BatchCreateLotsRequest {
	p.asked++
	id := fmt.Sprintf("%s-%d", p.name, p.asked)
	req := &pb.BatchCreateLotsRequest{Parent: p.k.shop, RequestId: id}
	for n := range 1 + p.random.IntN(p.most) {
		req.Lots = append(req.Lots, &pb.Lot{
			Tag: fmt.Sprintf("%s-%d", id, n), Kind: pb.Kind_KIND_WOOD_TYPE, Title: "Gothic wood type, 12 line"})
	}
	return req
}

// send makes the pending request, and tells whether it was acknowledged.
func (p *poster) send(t *testing.T, d *live) bool {
	answer, err := d.lots.BatchCreateLots(t.Context(), p.pending)
	if err != nil {
		cutOff(t, err)
		return false
	}
	if len(answer.GetLots()) != len(p.pending.GetLots()) {
		t.Errorf("%s: %d lots of %d", p.pending.GetRequestId(), len(answer.GetLots()), len(p.pending.GetLots()))
	}
	p.lots = append(p.lots, answer.GetLots()...)
	p.pending = nil
	return true
}

func cutOff(t *testing.T, err error) {
	if status.Code(err) != codes.Unavailable {
		t.Errorf("got %v, want an answer or UNAVAILABLE", err)
	}
}

// settle repeats a request that was cut off, and tells whether it was now
// acknowledged. Before that it must have been written as a whole or not at all.
func (p *poster) settle(t *testing.T, d *live) bool {
	if p.pending == nil {
		return true
	}
	there, err := p.there(t.Context(), d)
	if err != nil {
		cutOff(t, err)
		return false
	}
	if there != 0 && there != len(p.pending.GetLots()) {
		t.Errorf("%s was half written: %d lots of %d", p.pending.GetRequestId(), there, len(p.pending.GetLots()))
	}
	if !p.send(t, d) {
		return false
	}
	if there > 0 {
		p.written++
	} else {
		p.lost++
	}
	return true
}

// there counts the lots of the pending request that the registry has.
func (p *poster) there(ctx context.Context, d *live) (int, error) {
	n := 0
	for _, l := range p.pending.GetLots() {
		got, err := d.lots.ListLots(ctx, &pb.ListLotsRequest{Parent: p.k.shop, Tag: l.GetTag()})
		if err != nil {
			return 0, err
		}
		n += len(got.GetLots())
	}
	return n, nil
}

// check compares what was acknowledged with all there is.
func (k *killing) check(t *testing.T, d *live, acknowledged []*pb.Lot) {
	last := uint64(0)
	want := map[string]bool{}
	for _, l := range acknowledged {
		want[l.GetName()], last = true, max(last, l.GetRevision())
		got, err := d.lots.GetLot(t.Context(), &pb.GetLotRequest{Name: l.GetName()})
		if err != nil || got.GetLot().GetRevision() != l.GetRevision() {
			t.Errorf("%s: %v, %v", l.GetName(), got, err)
		}
	}
	once(t, "the shop's list", want, k.listed(t, d))
	once(t, "the search", want, found(t, d, last))
	once(t, "the inbox", want, alerted(t, d, last))
}

// once checks that names are those wanted, each once.
func once(t *testing.T, where string, want map[string]bool, names []string) {
	times := map[string]int{}
	for _, n := range names {
		times[n]++
	}
	for n, many := range times {
		if many != 1 || !want[n] {
			t.Errorf("%s has %s %d times; acknowledged: %t", where, n, many, want[n])
		}
	}
	for n := range want {
		if times[n] == 0 {
			t.Errorf("%s lacks %s", where, n)
		}
	}
}

func (k *killing) listed(t *testing.T, d *live) (names []string) {
	for req := (&pb.ListLotsRequest{Parent: k.shop, PageSize: 1000}); ; {
		got, err := d.lots.ListLots(t.Context(), req)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range got.GetLots() {
			names = append(names, l.GetName())
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			return names
		}
	}
}

func found(t *testing.T, d *live, change uint64) (names []string) {
	ctx, cancel := context.WithTimeout(t.Context(), aLongTime)
	defer cancel()
	req := &pb.SearchLotsRequest{
		Filter: &pb.LotFilter{Words: "gothic"}, Order: pb.LotOrder_LOT_ORDER_NEWEST, PageSize: 1000, AtLeastChange: change}
	for {
		got, err := d.search.SearchLots(ctx, req)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range got.GetHits() {
			names = append(names, h.GetLot().GetName())
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			return names
		}
	}
}

func alerted(t *testing.T, d *live, change uint64) (names []string) {
	ctx, cancel := context.WithTimeout(t.Context(), aLongTime)
	defer cancel()
	for req := (&pb.ListAlertsRequest{PageSize: 1000, AtLeastChange: change}); ; {
		got, err := d.alerts.ListAlerts(ctx, req)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range got.GetAlerts() {
			names = append(names, a.GetLot().GetName())
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			return names
		}
	}
}
