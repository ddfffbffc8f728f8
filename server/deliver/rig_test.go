package deliver

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/mail"
	"sync"
	"testing"
	"time"

	"github.com/emersion/go-smtp"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
	"heirpress/server/store/memory"
)

// A clock stands still until it is moved.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) set(to time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = to
}

// rig is a store with a deliverer over it, on a clock of their own.
type rig struct {
	*Deliverer
	clock *clock
	store store.Store
	log   *bytes.Buffer
}

const (
	list    = "wantedLists/posters"
	address = "ann@seeker.example"
	secret  = "a-secret-of-a-good-length"
)

func newRig(t testing.TB, c Config) *rig {
	t.Helper()
	r := &rig{clock: &clock{at: at("2026-06-03T14:00:00Z")}, log: new(bytes.Buffer)}
	r.store = memory.NewAt(r.clock.now)
	c.Now = r.clock.now
	r.Deliverer = New(r.store, c, slog.New(slog.NewTextHandler(r.log, nil)))
	r.write(t, func(ctx context.Context, tx store.Tx) error {
		body, err := record.Body(&pb.WantedList{Name: list, Title: "Posters", Place: "Columbus, OH"})
		if err == nil {
			_, err = tx.Create(ctx, store.Record{Name: list, Collection: store.WantedLists, Key: "posters", Body: body})
		}
		return err
	})
	if err := r.load(t.Context()); err != nil {
		t.Fatal(err)
	}
	return r
}

func (r *rig) write(t testing.TB, do func(context.Context, store.Tx) error) {
	t.Helper()
	if err := r.store.Write(t.Context(), func(tx store.Tx) error { return do(t.Context(), tx) }); err != nil {
		t.Fatal(err)
	}
}

// put sets the delivery of the list; its address is confirmed.
func (r *rig) put(t testing.TB, d *pb.Delivery) {
	t.Helper()
	r.putUnconfirmed(t, d, "")
}

// putUnconfirmed sets it, with a code that confirms it; with none it is confirmed.
func (r *rig) putUnconfirmed(t testing.TB, d *pb.Delivery, code string) {
	t.Helper()
	d = proto.CloneOf(d)
	d.Name = Name(list)
	if wrong := r.rules.Check(d); wrong != nil {
		t.Fatal(wrong)
	}
	r.write(t, func(ctx context.Context, tx store.Tx) error {
		kept, err := Record(&pb.KeptDelivery{Delivery: d, UnsubscribeToken: "token", ConfirmCode: code})
		if err != nil {
			return err
		}
		if _, err = tx.Update(ctx, kept); errors.Is(err, store.ErrNotFound) {
			_, err = tx.Create(ctx, kept)
		}
		return err
	})
}

func anAlert(n int) *pb.Alert {
	return &pb.Alert{
		Name: fmt.Sprintf("alerts/a%d", n), WantedList: list, Want: "platen", WantTitle: "A platen", Reason: pb.AlertReason_ALERT_REASON_NEW_LOT,
		Lot: &pb.Lot{
			Name: fmt.Sprintf("shops/marrowby/lots/p%d", n), Tag: fmt.Sprint("P", n), Title: fmt.Sprintf("Halvorsen platen jobber no. %d", n),
			Kind: pb.Kind_KIND_PRESS, State: pb.LotState_LOT_STATE_OFFERED, ShopTitle: "Marrowby", Town: &pb.Town{Label: "Dayton, OH"},
		},
		Fit: &pb.Fit{Score: float64(n) / 5, High: 100, Questions: []string{"How wide is the door?"}},
	}
}

// alert makes alerts as the matcher does.
func (r *rig) alert(t testing.TB, all ...*pb.Alert) {
	t.Helper()
	r.write(t, func(ctx context.Context, tx store.Tx) error {
		for _, a := range all {
			body, err := record.Body(a)
			if err != nil {
				return err
			}
			if _, err := tx.Create(ctx, store.Record{Name: a.GetName(), Collection: store.Alerts, Parent: list, Open: true, Body: body}); err != nil {
				return err
			}
		}
		return nil
	})
}

// settle does what there is to do now, and returns when there will be more.
func (r *rig) settle(t testing.TB) time.Time {
	t.Helper()
	for {
		next, err := r.turn(t.Context(), t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if r.running() == 0 {
			return next
		}
		r.ended(<-r.done)
	}
}

// finishAll moves the clock on from one thing to do to the next until nothing is
// left to do, and returns how many times it moved.
func (r *rig) finishAll(t testing.TB) int {
	t.Helper()
	for n := 0; n < 200; n++ {
		next := r.settle(t)
		if next.IsZero() {
			return n
		}
		if next.After(r.clock.now()) {
			r.clock.set(next)
		}
	}
	t.Fatal("there is always more to do")
	return 0
}

// again is a new process over the same store.
func (r *rig) again(t testing.TB) {
	t.Helper()
	r.Deliverer = New(r.store, Config{Rules: r.rules, Mail: r.mail, Unasked: r.unasked, Now: r.clock.now}, r.Deliverer.log)
	if err := r.load(t.Context()); err != nil {
		t.Fatal(err)
	}
}

func (r *rig) dead(t testing.TB) []*pb.Dispatch {
	t.Helper()
	all, err := DeadLetters(t.Context(), r.store)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// dispatches are all there ever were.
func (r *rig) dispatches(t testing.TB) []*pb.Dispatch {
	t.Helper()
	records, err := r.store.List(t.Context(), store.Listing{Collection: store.Dispatches, AnyParent: true, Limit: 10_000})
	if err != nil {
		t.Fatal(err)
	}
	var all []*pb.Dispatch
	for _, one := range records {
		d, err := read[pb.Dispatch](one)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, d)
	}
	return all
}

// A whim is what a mail server does with one e-mail.
type whim int

const (
	takes      whim = iota
	later451        // "come back" at RCPT
	refuses550      // "no such person" at RCPT
	dataLater       // "come back" after the content
	dataRefuse      // "no" after the content
	drops           // hangs up in the middle of the content
	forgets         // takes it and hangs up before it says so
	stalls          // takes the content and says nothing
	leaves          // takes it, says so, and hangs up
	greets554       // will not talk to us
	mailLater       // "come back" at MAIL
	mailRefuse      // "no such sender" at MAIL
	rcptDrops       // hangs up at RCPT
	rcptStalls      // says nothing at RCPT
	dataStalls      // takes a part of the content, and no more
)

// mailServer is a real SMTP server on this machine, with whims.
type mailServer struct {
	addr  string
	mu    sync.Mutex
	whims []whim // one for each try; afterwards it takes
	tries int
	took  []*mail.Message
	raw   []string
	until chan struct{} // stalls end
	// onTake is called when an e-mail was taken and before that is said, and
	// onAnswer after.
	onTake, onAnswer func()
}

func newMailServer(t testing.TB, whims ...whim) *mailServer {
	t.Helper()
	m := idleMailServer()
	m.whims = whims
	s := smtp.NewServer(smtp.BackendFunc(func(c *smtp.Conn) (smtp.Session, error) { return m.session(c) }))
	s.Domain, s.ErrorLog = "mail.example", noLog{}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go s.Serve(l)
	m.addr = l.Addr().String()
	t.Cleanup(func() {
		close(m.until)
		s.Close()
	})
	return m
}

func idleMailServer() *mailServer {
	return &mailServer{until: make(chan struct{}), onTake: func() {}, onAnswer: func() {}}
}

type noLog struct{}

func (noLog) Printf(string, ...any) {}
func (noLog) Println(...any)        {}

func (m *mailServer) session(c *smtp.Conn) (smtp.Session, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	w := takes
	if m.tries < len(m.whims) {
		w = m.whims[m.tries]
	}
	m.tries++
	if w == greets554 {
		return nil, &smtp.SMTPError{Code: 554, Message: "not you"}
	}
	return &session{server: m, conn: c, whim: w}, nil
}

type session struct {
	server *mailServer
	conn   *smtp.Conn
	whim   whim
	took   bool
}

func (s *session) Logout() error { return nil }

func (s *session) Mail(from string, _ *smtp.MailOptions) error {
	switch s.whim {
	case mailLater:
		return &smtp.SMTPError{Code: 421, EnhancedCode: smtp.EnhancedCode{4, 3, 2}, Message: "going down"}
	case mailRefuse:
		return &smtp.SMTPError{Code: 550, EnhancedCode: smtp.EnhancedCode{5, 7, 1}, Message: "we do not know " + from}
	}
	return nil
}

func (s *session) Reset() {
	if s.took {
		s.server.onAnswer()
	}
	if s.whim == leaves {
		s.conn.Conn().Close()
	}
}

func (s *session) Rcpt(to string, _ *smtp.RcptOptions) error {
	switch s.whim {
	case later451:
		return &smtp.SMTPError{Code: 451, EnhancedCode: smtp.EnhancedCode{4, 7, 1}, Message: "come back later, " + to}
	case refuses550:
		return &smtp.SMTPError{Code: 550, EnhancedCode: smtp.EnhancedCode{5, 1, 1}, Message: "<" + to + ">: no such person"}
	case rcptDrops:
		return s.conn.Conn().Close()
	case rcptStalls:
		<-s.server.until
	}
	return nil
}

func (s *session) Data(content io.Reader) error {
	if s.whim == drops {
		io.CopyN(io.Discard, content, 20)
		return s.conn.Conn().Close()
	}
	if s.whim == dataStalls {
		io.CopyN(io.Discard, content, 20)
		<-s.server.until
		return &smtp.SMTPError{Code: 451, Message: "too late"}
	}
	body, err := io.ReadAll(content)
	if err != nil {
		return err
	}
	switch s.whim {
	case dataLater:
		return &smtp.SMTPError{Code: 452, Message: "no room"}
	case dataRefuse:
		return &smtp.SMTPError{Code: 554, Message: "we do not like it, " + address}
	}
	s.server.take(body)
	s.took = true
	s.server.onTake()
	switch s.whim {
	case forgets:
		return s.conn.Conn().Close()
	case stalls:
		<-s.server.until
	}
	return nil
}

func (m *mailServer) take(body []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	msg, err := mail.ReadMessage(bytes.NewReader(body))
	if err != nil {
		panic(err)
	}
	m.took, m.raw = append(m.took, msg), append(m.raw, string(body))
}

func (m *mailServer) mails() []*mail.Message {
	m.mu.Lock()
	defer m.mu.Unlock()
	return append([]*mail.Message(nil), m.took...)
}

func (m *mailServer) config() Config {
	return Config{Rules: Rules{Private: true}, Mail: &Mail{
		Server: m.addr, TLS: NoTLS, From: "heirpress <alerts@registry.example>", PublicURL: "https://registry.example", Step: 300 * time.Millisecond,
	}}
}
