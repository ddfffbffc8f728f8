package deliver

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/score"
	"heirpress/server/alerts"
	"heirpress/server/internal/deadly"
	"heirpress/server/record"
	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// kills is how often TestCrash kills the process.
var kills = flag.Int("kills", 30, "how often the crash test kills the process that matches and delivers")

// crashEnv tells a process that TestCrash started what to do: the registry, the
// mail server, how far its clock is ahead, and the point at which it is to die
// when it has passed it so often.
const crashEnv = "HEIRPRESS_TEST_DELIVER_UNTIL"

// The points that the other side sees, and kills at.
const (
	pointTaken    = "e-mail taken, not answered"
	pointAnswered = "e-mail taken and answered"
	pointHook     = "webhook taken, not answered"
	pointAny      = "any"
)

// points are all those between a change and the end of its delivery.
var points = []string{
	deadly.Journal, deadly.History,
	deadly.Create(store.Alerts), deadly.Create(store.Notices), deadly.Move(alerts.Cursor), deadly.Commit(deadly.Move(alerts.Cursor)),
	deadly.Create(store.Outbox), deadly.Move(Cursor), deadly.Commit(deadly.Move(Cursor)),
	deadly.Create(store.Dispatches), deadly.Update(store.Outbox), deadly.Commit(deadly.Create(store.Dispatches)),
	deadly.Update(store.Dispatches), deadly.Commit(deadly.Update(store.Dispatches)),
	pointTaken, pointAnswered, pointHook, pointAny,
}

func TestMain(m *testing.M) {
	if job := os.Getenv(crashEnv); job != "" {
		fmt.Fprintln(os.Stderr, liveUntilKilled(strings.Split(job, "|")))
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// liveUntilKilled matches and delivers until it dies.
func liveUntilKilled(job []string) error {
	s, err := sqlite.Open(job[0])
	if err != nil {
		return err
	}
	ahead, err := time.ParseDuration(job[2])
	if err != nil {
		return err
	}
	nth, err := strconv.Atoi(job[4])
	if err != nil {
		return err
	}
	d, log := deadly.New(s, job[3], nth), slog.New(slog.NewTextHandler(os.Stderr, nil))
	go alerts.New(d, lookAtAll{s}, log).Run(context.Background())
	fmt.Println("it lives")
	New(d, Config{
		Rules: Rules{Private: true}, Gather: time.Millisecond, Now: func() time.Time { return time.Now().Add(ahead) },
		Mail: &Mail{Server: job[1], TLS: NoTLS, From: "alerts@registry.example", PublicURL: "https://registry.example"},
	}, log).Run(context.Background())
	return nil
}

// lookAtAll finds lots by looking at all there are.
type lookAtAll struct{ store.Reader }

func (l lookAtAll) Find(ctx context.Context, f *pb.LotFilter, _ uint64, each func(string) error) error {
	records, err := l.List(ctx, store.Listing{Collection: store.Lots, AnyParent: true, Limit: 100_000})
	if err != nil {
		return err
	}
	for _, r := range records {
		lot, err := record.Lot(r)
		if err != nil {
			return err
		}
		if ok, _ := search.Matches(f, lot); !ok {
			continue
		}
		if err := each(r.Name); err != nil {
			return err
		}
	}
	return nil
}

// receipts counts what arrived by its id, and may kill who sent it.
type receipts struct {
	mu   sync.Mutex
	of   map[string]int
	at   string // the point at which to kill
	left int    // how often it is passed before
	kill func()
}

func (r *receipts) pass(point string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if point != r.at || r.kill == nil {
		return
	}
	if r.left--; r.left == 0 {
		r.kill()
	}
}

func (r *receipts) killAt(point string, nth int, kill func()) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.at, r.left, r.kill = point, nth, kill
}

func (r *receipts) add(id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.of[id]++
}

// crash is a registry in which processes match and deliver, one after the other.
type crash struct {
	*rig
	path  string
	mail  *mailServer
	hooks *httptest.Server
	got   *receipts
	lots  []*pb.Lot
	lists []*pb.WantedList
}

func newCrash(t *testing.T) *crash {
	path := filepath.Join(t.TempDir(), "registry.db")
	s, err := sqlite.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	c := &crash{rig: &rig{store: s}, path: path, mail: newMailServer(t), got: &receipts{of: map[string]int{}}}
	c.mail.onTake, c.mail.onAnswer = func() { c.got.pass(pointTaken) }, func() { c.got.pass(pointAnswered) }
	c.hooks = httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		io.Copy(io.Discard, r.Body)
		c.got.add(r.Header.Get(HeaderID))
		c.got.pass(pointHook)
	}))
	t.Cleanup(c.hooks.Close)
	return c
}

// TestCrash kills a process that matches and delivers, at every point there is
// between a change and the end of its delivery, again and again. In the end every
// meeting is in the inbox once, its keeper has been told once, and it has arrived
// on both channels, at least once and always under the same id.
func TestCrash(t *testing.T) {
	c := newCrash(t)
	for n := range *kills {
		c.life(t, n, points[n%len(points)], 1+rand.IntN(4))
	}
	for n := *kills; !c.done(t); n++ { // what a day could not take waits for the morning
		if n > *kills+200 {
			t.Fatalf("%d are still due", c.open(t))
		}
		c.life(t, n, "", 0)
	}
	c.checkInbox(t)
	for _, mail := range c.mail.mails() {
		id := mail.Header.Get("Message-Id")
		c.got.add(id[1 : len(id)-len("@registry.example>")])
	}
	repeats := c.checkArrived(t)
	t.Logf("%d kills, %d lots, %d lists, %d alerts on two channels, %d dispatches arrived more than once", *kills, len(c.lots), len(c.lists), len(c.inbox(t)), repeats)
}

// lifeApart is by how much the clock of one process is ahead of the one before:
// its leases have run out, and days go by.
const lifeApart = 3 * time.Hour

// life starts a process and goes on posting until it is dead; without a point,
// it is killed when it has done all there is to do, or for a while.
func (c *crash) life(t *testing.T, n int, point string, nth int) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	job := []string{c.path, c.mail.addr, (time.Duration(n) * lifeApart).String(), point, strconv.Itoa(nth)}
	cmd.Env = append(os.Environ(), crashEnv+"="+strings.Join(job, "|"))
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Process.Kill()
	c.got.killAt(point, nth, func() { cmd.Process.Kill() })
	if !bufio.NewScanner(out).Scan() {
		t.Logf("at %s: dead before it had begun", point) // as it may be at Journal
	}
	dead := make(chan error, 1)
	go func() { dead <- cmd.Wait() }()
	c.until(t, point, dead, cmd)
}

func (c *crash) until(t *testing.T, point string, dead <-chan error, cmd *exec.Cmd) {
	t.Helper()
	for begun, acts := time.Now(), rand.IntN(12); ; acts-- {
		select {
		case err := <-dead:
			if cmd.ProcessState.ExitCode() != -1 {
				t.Fatalf("at %s: %v", point, err)
			}
			return
		case <-time.After(time.Duration(rand.IntN(8)) * time.Millisecond):
		}
		switch {
		case point == "" && (c.done(t) || time.Since(begun) > time.Second), point == pointAny && acts < 0:
			cmd.Process.Kill()
		case time.Since(begun) > time.Minute:
			t.Fatalf("%s was not passed in a minute", point)
		case point != "":
			c.act(t)
		}
	}
}

// act posts a lot, changes one so that nobody need hear of it, or lodges a list
// with its delivery.
func (c *crash) act(t *testing.T) {
	t.Helper()
	switch n := rand.IntN(6); {
	case len(c.lists) == 0, n == 0 && len(c.lists) < 8:
		c.lodge(t)
	case n < 3 && len(c.lots) > 0:
		lot := c.lots[rand.IntN(len(c.lots))]
		lot.Description += "The feed board is there. "
		c.put(t, store.Tx.Update, store.Record{Name: lot.GetName()}, lot)
	default:
		c.post(t)
	}
}

func (c *crash) post(t *testing.T) {
	t.Helper()
	tag := fmt.Sprint("p", len(c.lots))
	lot := &pb.Lot{
		Name: "shops/marrowby/lots/" + tag, Tag: tag, Title: "Halvorsen platen jobber", ShopTitle: "Marrowby",
		Kind: crashKinds[rand.IntN(len(crashKinds))], State: pb.LotState_LOT_STATE_OFFERED, Town: &pb.Town{Label: "Dayton, OH"},
	}
	c.lots = append(c.lots, lot)
	c.put(t, store.Tx.Create, store.Record{Name: lot.GetName(), Collection: store.Lots, Parent: "shops/marrowby"}, lot)
}

var crashKinds = []pb.Kind{pb.Kind_KIND_PRESS, pb.Kind_KIND_WOOD_TYPE, pb.Kind_KIND_OTHER}

func (c *crash) lodge(t *testing.T) {
	t.Helper()
	list := &pb.WantedList{Name: fmt.Sprint("wantedLists/l", len(c.lists)), Title: fmt.Sprint("List ", len(c.lists))}
	for _, kind := range crashKinds[:1+rand.IntN(2)] {
		list.Wants = append(list.Wants, &pb.Want{Id: kind.String(), Title: "Of a kind", Filter: &pb.LotFilter{Kinds: []pb.Kind{kind}}})
	}
	c.lists = append(c.lists, list)
	delivery := &pb.Delivery{Name: Name(list.GetName()), Email: address, WebhookUrl: c.hooks.URL, WebhookSecret: secret, MostADay: new(int32(most))}
	kept, err := Record(&pb.KeptDelivery{Delivery: delivery, UnsubscribeToken: NewToken()})
	if err != nil {
		t.Fatal(err)
	}
	c.put(t, store.Tx.Create, store.Record{Name: list.GetName(), Collection: store.WantedLists}, list, kept)
}

// put writes a message in a record, and others with it.
func (c *crash) put(t *testing.T, write func(store.Tx, context.Context, store.Record) (store.Record, error), r store.Record, m proto.Message, more ...store.Record) {
	t.Helper()
	var err error
	if r.Body, err = record.Body(m); err != nil {
		t.Fatal(err)
	}
	c.write(t, func(ctx context.Context, tx store.Tx) error {
		for _, one := range append(more, r) {
			if _, err := write(tx, ctx, one); err != nil {
				return err
			}
		}
		return nil
	})
}

// done tells whether all is matched and delivered.
func (c *crash) done(t *testing.T) bool {
	t.Helper()
	head, err := c.store.Head(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	matched, err := alerts.Matched(t.Context(), c.store, head)
	if err != nil {
		t.Fatal(err)
	}
	return matched && c.open(t) == 0
}

// all are the records of a collection.
func (c *crash) all(t *testing.T, of store.Collection) []store.Record {
	t.Helper()
	records, err := c.store.List(t.Context(), store.Listing{Collection: of, AnyParent: true, Limit: 1_000_000})
	if err != nil {
		t.Fatal(err)
	}
	return records
}

// inbox tells how often each meeting is in the inbox.
func (c *crash) inbox(t *testing.T) map[string]int {
	t.Helper()
	told := map[string]int{}
	for _, r := range c.all(t, store.Alerts) {
		a, err := record.Alert(r)
		if err != nil {
			t.Fatal(err)
		}
		told[fmt.Sprint(a.GetWantedList(), " ", a.GetWant(), " ", a.GetLot().GetName())]++
	}
	return told
}

// checkInbox holds the inbox, and the notices to keepers, against what meets.
func (c *crash) checkInbox(t *testing.T) {
	t.Helper()
	told, noticed, sought := c.inbox(t), c.noticed(t), map[string]bool{}
	for _, list := range c.lists {
		for _, want := range list.GetWants() {
			for _, lot := range c.lots {
				key := fmt.Sprint(list.GetName(), " ", want.GetId(), " ", lot.GetName())
				meets, _ := search.Matches(score.Filter(list, want), lot)
				if (told[key] == 1) != meets || told[key] > 1 {
					t.Errorf("%s: it meets %t, and is in the inbox %d times", key, meets, told[key])
				}
				sought[lot.GetName()] = sought[lot.GetName()] || meets
			}
		}
	}
	for _, lot := range c.lots {
		if sought[lot.GetName()] != (len(noticed[lot.GetName()]) > 0) {
			t.Errorf("%s: it is sought %t, and its keeper was told of %v seekers", lot.GetName(), sought[lot.GetName()], noticed[lot.GetName()])
		}
	}
}

// noticed are the numbers of seekers that the keepers of lots were told of.
func (c *crash) noticed(t *testing.T) map[string][]int32 {
	t.Helper()
	told := map[string][]int32{}
	for _, r := range c.all(t, store.Notices) {
		n, err := record.Notice(r)
		if err != nil {
			t.Fatal(err)
		}
		lot, seekers := n.GetInterest().GetLot(), n.GetInterest().GetSeekers()
		if slices.Contains(told[lot], seekers) {
			t.Errorf("the keeper of %s was told of %d seekers twice", lot, seekers)
		}
		told[lot] = append(told[lot], seekers)
	}
	return told
}

// open is how many entries and dispatches are still due.
func (r *rig) open(t *testing.T) (n int) {
	t.Helper()
	for _, c := range []store.Collection{store.Outbox, store.Dispatches} {
		open, err := r.store.List(t.Context(), store.Listing{Collection: c, AnyParent: true, OpenOnly: true})
		if err != nil {
			t.Fatal(err)
		}
		n += len(open)
	}
	cursor, _ := r.store.Cursor(t.Context(), Cursor)
	left, err := r.store.Changes(t.Context(), cursor, 10, store.Alerts)
	if err != nil {
		t.Fatal(err)
	}
	return n + len(left)
}

// checkArrived holds what arrived against what the store says was sent, and
// returns how many dispatches arrived more than once.
func (c *crash) checkArrived(t *testing.T) (repeats int) {
	t.Helper()
	told := map[pb.Channel]map[string]int{pb.Channel_CHANNEL_EMAIL: {}, pb.Channel_CHANNEL_WEBHOOK: {}}
	for _, r := range c.all(t, store.Dispatches) {
		d, err := read[pb.Dispatch](r)
		if err != nil {
			t.Fatal(err)
		}
		arrived := c.got.of[ID(d)]
		if d.GetState() != pb.DispatchState_DISPATCH_STATE_SENT || arrived == 0 {
			t.Errorf("%s: %v, arrived %d times: %s", d.GetName(), d.GetState(), arrived, d.GetLastError())
		}
		if arrived > 1 {
			repeats++
		}
		delete(c.got.of, ID(d))
		for _, a := range d.GetAlerts() {
			told[d.GetChannel()][a]++
		}
	}
	if len(c.got.of) > 0 {
		t.Errorf("there arrived what nobody sent: %v", c.got.of)
	}
	for channel, by := range told {
		for _, r := range c.all(t, store.Alerts) {
			if by[r.Name] != 1 {
				t.Errorf("%s is in %d dispatches of %v", r.Name, by[r.Name], channel)
			}
		}
	}
	return repeats
}
