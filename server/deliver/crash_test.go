package deliver

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
	"heirpress/server/store/sqlite"
)

// These tell this process, started by TestCrash, that it is to deliver from a
// registry until it is killed, through which mail server, and how far its clock
// is ahead.
const (
	crashStore = "HEIRPRESS_TEST_DELIVER_FROM"
	crashMail  = "HEIRPRESS_TEST_DELIVER_MAIL"
	crashAhead = "HEIRPRESS_TEST_DELIVER_AHEAD"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(crashStore); path != "" {
		deliverForever(path)
	}
	os.Exit(m.Run())
}

func deliverForever(path string) {
	s, err := sqlite.Open(path)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	ahead, _ := time.ParseDuration(os.Getenv(crashAhead))
	d := New(s, Config{
		Rules: Rules{Private: true}, Gather: time.Millisecond, Now: func() time.Time { return time.Now().Add(ahead) },
		Mail: &Mail{Server: os.Getenv(crashMail), TLS: NoTLS, From: "alerts@registry.example", PublicURL: "https://registry.example"},
	}, slog.New(slog.NewTextHandler(os.Stderr, nil)))
	fmt.Println("delivering")
	d.Run(context.Background())
}

// life starts a process that delivers, lets it live for a while, and kills it.
func life(t *testing.T, path, mail string, n int, meanwhile func()) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), crashStore+"="+path, crashMail+"="+mail, crashAhead+"="+(time.Duration(n)*2*leaseTime).String())
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	defer cmd.Process.Kill()
	if !bufio.NewScanner(out).Scan() {
		t.Fatal("it does not begin")
	}
	meanwhile()
}

// receipts counts what arrived by its id.
type receipts struct {
	mu sync.Mutex
	of map[string]int
}

func (r *receipts) add(id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.of[id]++
}

// TestCrash kills a process that delivers, again and again, at no moment of its
// choosing. Every alert must arrive on both channels, at least once and always
// with the same id; each process finds the leases of the one before run out.
func TestCrash(t *testing.T) {
	kills := 20
	if testing.Short() {
		kills = 5
	}
	if text := os.Getenv("HEIRPRESS_TEST_KILLS"); text != "" {
		kills, _ = strconv.Atoi(text)
	}
	path := filepath.Join(t.TempDir(), "registry.db")
	s, err := sqlite.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	r := &rig{store: s, Deliverer: New(s, Config{Rules: Rules{Private: true}}, slog.New(slog.DiscardHandler))}
	got := &receipts{of: map[string]int{}}
	hooks := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, req *http.Request) {
		io.Copy(io.Discard, req.Body)
		got.add(req.Header.Get(HeaderID))
	}))
	defer hooks.Close()
	m := newMailServer(t)
	r.put(t, &pb.Delivery{Email: address, WebhookUrl: hooks.URL, WebhookSecret: secret, MostADay: new(int32(most))})
	alerts := 0
	for n := range kills {
		life(t, path, m.addr, n, func() {
			for range 4 {
				r.alert(t, anAlert(alerts))
				alerts++
				time.Sleep(time.Duration(rand.IntN(12)) * time.Millisecond)
			}
		})
	}
	for n := kills; r.open(t) > 0; n += 12 { // by two hours: what a day could not take waits for the morning
		if n > kills+600 {
			t.Fatalf("%d are still due", r.open(t))
		}
		life(t, path, m.addr, n, func() { r.whileOpen(t) })
	}
	for _, mail := range m.mails() {
		id := mail.Header.Get("Message-Id")
		got.add(id[1 : len(id)-len("@registry.example>")])
	}
	repeats := r.checkArrived(t, alerts, got.of)
	t.Logf("%d alerts on two channels, killed %d times, %d dispatches arrived more than once", alerts, kills, repeats)
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

// whileOpen waits for a process to get on for a while.
func (r *rig) whileOpen(t *testing.T) {
	for range 100 {
		if r.open(t) == 0 {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// checkArrived holds what arrived against what the store says was sent, and
// returns how many dispatches arrived more than once.
func (r *rig) checkArrived(t *testing.T, alerts int, got map[string]int) (repeats int) {
	t.Helper()
	told := map[pb.Channel]map[string]int{pb.Channel_CHANNEL_EMAIL: {}, pb.Channel_CHANNEL_WEBHOOK: {}}
	for _, d := range r.dispatches(t) {
		if d.GetState() != pb.DispatchState_DISPATCH_STATE_SENT || got[ID(d)] == 0 {
			t.Errorf("%s: %v, arrived %d times: %s", d.GetName(), d.GetState(), got[ID(d)], d.GetLastError())
		}
		if got[ID(d)] > 1 {
			repeats++
		}
		delete(got, ID(d))
		for _, a := range d.GetAlerts() {
			told[d.GetChannel()][a]++
		}
	}
	if len(got) > 0 {
		t.Errorf("there arrived what nobody sent: %v", got)
	}
	for c, by := range told {
		for n := range alerts {
			if by[anAlert(n).GetName()] != 1 {
				t.Errorf("alert %d is in %d dispatches of %v", n, by[anAlert(n).GetName()], c)
			}
		}
	}
	return repeats
}
