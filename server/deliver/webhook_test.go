package deliver

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"golang.org/x/net/dns/dnsmessage"
	"google.golang.org/protobuf/encoding/protojson"

	pb "heirpress/proto/heirpress/v1"
)

// hookServer takes webhooks, after the answers it was told to give first.
type hookServer struct {
	*httptest.Server
	mu      sync.Mutex
	answers []int
	got     []call
}

type call struct {
	header http.Header
	body   []byte
}

func newHookServer(t *testing.T, answers ...int) *hookServer {
	h := &hookServer{answers: answers}
	h.Server = httptest.NewServer(http.HandlerFunc(h.answer))
	t.Cleanup(h.Close)
	return h
}

func (h *hookServer) answer(w http.ResponseWriter, r *http.Request) {
	body, _ := io.ReadAll(r.Body)
	h.mu.Lock()
	defer h.mu.Unlock()
	h.got = append(h.got, call{r.Header, body})
	status := http.StatusNoContent
	if len(h.got) <= len(h.answers) {
		status = h.answers[len(h.got)-1]
	}
	if status >= 300 && status < 400 {
		w.Header().Set("Location", "/elsewhere")
	}
	w.WriteHeader(status)
}

func (h *hookServer) delivery() *pb.Delivery {
	return &pb.Delivery{WebhookUrl: h.URL + "/alerts?key=k", WebhookSecret: secret}
}

func allowed() Config { return Config{Rules: Rules{Private: true}} }

// A webhook arrives signed, is the alert as the contract has it, and a repeat has
// the same id.
func TestAWebhookArrives(t *testing.T) {
	h := newHookServer(t, http.StatusInternalServerError, http.StatusTooManyRequests)
	r := newRig(t, allowed())
	r.put(t, h.delivery())
	a := anAlert(1)
	a.Lot.ClearBy = &pb.Date{Year: 2026, Month: 6, Day: 10}
	r.alert(t, a)
	r.finishAll(t)
	if len(h.got) != 3 {
		t.Fatalf("called %d times", len(h.got))
	}
	ids := map[string]bool{}
	for i, c := range h.got {
		id, err := Verify(secret, c.header, c.body, r.clock.now())
		if i == len(h.got)-1 && err != nil {
			t.Errorf("the last: %v", err)
		}
		ids[c.header.Get(HeaderID)] = true
		if id != "" && id != c.header.Get(HeaderID) {
			t.Errorf("id %q", id)
		}
	}
	if len(ids) != 1 {
		t.Errorf("ids: %v", ids)
	}
	got := new(pb.Alert)
	if err := protojson.Unmarshal(h.got[2].body, got); err != nil {
		t.Fatal(err)
	}
	if got.GetName() != a.GetName() || !got.GetUrgent() || len(got.GetNextCommands()) != 3 || got.GetFit().GetQuestions() == nil {
		t.Errorf("got %v", got)
	}
	if kind := h.got[0].header.Get("Content-Type"); kind != "application/json" {
		t.Errorf("content type %q", kind)
	}
}

// Each alert is a webhook of its own, and at once: no hours, no most a day.
func TestEveryAlertIsAWebhook(t *testing.T) {
	h := newHookServer(t)
	r := newRig(t, allowed())
	d := h.delivery()
	d.QuietFrom, d.QuietUntil = "00:00", "23:59"
	r.put(t, d)
	for n := range 40 {
		r.alert(t, anAlert(n))
	}
	moves := r.finishAll(t)
	ids := map[string]bool{}
	for _, c := range h.got {
		ids[c.header.Get(HeaderID)] = true
	}
	if len(h.got) != 40 || len(ids) != 40 {
		t.Errorf("%d calls with %d ids", len(h.got), len(ids))
	}
	if moves != 0 {
		t.Errorf("the clock moved %d times", moves)
	}
}

// What a webhook answers, and what becomes of it.
func TestWebhookAnswers(t *testing.T) {
	for status, want := range map[int]struct {
		calls int
		dead  bool
		says  string
	}{
		200: {1, false, ""},
		204: {1, false, ""},
		301: {1, true, "answered 301 Moved Permanently, and is not followed elsewhere"},
		307: {1, true, "not followed"},
		410: {1, true, "answered 410 Gone"},
		400: {2, false, ""},
		404: {2, false, ""},
		503: {2, false, ""},
	} {
		h := newHookServer(t, status)
		r := newRig(t, allowed())
		r.put(t, h.delivery())
		r.alert(t, anAlert(1))
		r.finishAll(t)
		dead := r.dead(t)
		if len(h.got) != want.calls || (len(dead) == 1) != want.dead {
			t.Errorf("%d: %d calls, dead %v", status, len(h.got), dead)
		}
		if want.dead && !strings.Contains(dead[0].GetLastError(), want.says) {
			t.Errorf("%d: %q", status, dead[0].GetLastError())
		}
		r.private(t)
	}
}

// A webhook that nobody listens for is tried as often as the schedule has it, and
// then dead; where it was to go is not told.
func TestAWebhookThatIsAway(t *testing.T) {
	h := newHookServer(t)
	h.Close()
	r := newRig(t, allowed())
	r.put(t, h.delivery())
	r.alert(t, anAlert(1))
	r.finishAll(t)
	dead := r.dead(t)
	if len(dead) != 1 || dead[0].GetTries() != mostTries {
		t.Fatalf("dead letters: %v", dead)
	}
	if host := strings.TrimPrefix(h.URL, "http://"); strings.Contains(dead[0].String()+r.log.String(), host) {
		t.Errorf("where it was to go is told: %v", dead[0])
	}
}

// An answer without end is not read to its end.
func TestAnAnswerWithoutEnd(t *testing.T) {
	endless := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		chunk := make([]byte, 32<<10)
		for r.Context().Err() == nil {
			if _, err := w.Write(chunk); err != nil {
				return
			}
		}
	}))
	defer endless.Close()
	r := newRig(t, allowed())
	r.put(t, &pb.Delivery{WebhookUrl: endless.URL, WebhookSecret: secret})
	r.alert(t, anAlert(1))
	r.finishAll(t)
	if all := r.dispatches(t); len(all) != 1 || all[0].GetState() != pb.DispatchState_DISPATCH_STATE_SENT {
		t.Errorf("%v", all)
	}
}

// A receiver that says nothing is left after a while, and tried again; so is one
// whose head has no end.
func TestReceiversThatHoldUp(t *testing.T) {
	over := make(chan struct{})
	for says, c := range map[string]struct {
		timeout time.Duration
		handler http.HandlerFunc
	}{
		"Timeout": {50 * time.Millisecond, func(http.ResponseWriter, *http.Request) { <-over }},
		"header": {hookTime, func(w http.ResponseWriter, _ *http.Request) {
			for n := range 100 {
				w.Header().Set(fmt.Sprint("X-", n), strings.Repeat("x", 1000))
			}
		}},
	} {
		s := httptest.NewServer(c.handler)
		h := newHooks(Rules{Private: true}, nil)
		h.client.Timeout = c.timeout
		err := h.send(t.Context(), &job{
			kept: &pb.KeptDelivery{Delivery: &pb.Delivery{WebhookUrl: s.URL, WebhookSecret: secret}}, dispatch: &pb.Dispatch{}, alerts: []*pb.Alert{anAlert(1)},
		})
		if err == nil || errors.As(err, new(permanent)) || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want %q", err, says)
		}
		t.Cleanup(s.Close)
	}
	close(over)
}

// The addresses are from the IANA special-purpose registries (IPv4 and IPv6), and
// the metadata addresses as hosters publish them: from memory.
func TestIsPublic(t *testing.T) {
	for _, text := range []string{
		"127.0.0.1", "127.8.9.10", "0.0.0.0", "10.0.0.1", "172.16.0.1", "172.31.255.255", "192.168.1.1", "169.254.169.254", "100.64.0.1", "100.127.255.254",
		"100.100.100.200", "192.0.0.192", "192.0.2.1", "198.18.0.1", "198.51.100.7", "203.0.113.9", "224.0.0.1", "240.0.0.1", "255.255.255.255",
		"::", "::1", "::ffff:127.0.0.1", "::ffff:10.0.0.1", "::ffff:169.254.169.254", "::127.0.0.1", "64:ff9b::7f00:1", "64:ff9b:1::a00:1", "2002:7f00:1::",
		"fe80::1", "fe80::1%eth0", "fec0::1", "fc00::1", "fd00:ec2::254", "ff02::1", "2001:db8::1", "100::1", "2001::1",
	} {
		if isPublic(netip.MustParseAddr(text)) {
			t.Errorf("%s passes for public", text)
		}
	}
	for _, text := range []string{"1.1.1.1", "93.184.216.34", "172.32.0.1", "100.128.0.1", "192.167.1.1", "2606:4700:4700::1111", "::ffff:8.8.8.8"} {
		if !isPublic(netip.MustParseAddr(text)) {
			t.Errorf("%s passes for private", text)
		}
	}
}

// resolver answers every question for an address with those it is given, in
// turn: it is a name server on this machine.
func resolver(t *testing.T, answers ...netip.Addr) *net.Resolver {
	t.Helper()
	l, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	go func() {
		buf := make([]byte, 1500)
		for n := 0; ; {
			size, from, err := l.ReadFrom(buf)
			if err != nil {
				return
			}
			reply, was4 := dnsReply(buf[:size], answers[min(n, len(answers)-1)])
			if was4 {
				n++
			}
			l.WriteTo(reply, from)
		}
	}()
	return &net.Resolver{PreferGo: true, Dial: func(ctx context.Context, _, _ string) (net.Conn, error) {
		return new(net.Dialer).DialContext(ctx, "udp", l.LocalAddr().String())
	}}
}

func dnsReply(question []byte, with netip.Addr) (reply []byte, was4 bool) {
	var m dnsmessage.Message
	if err := m.Unpack(question); err != nil {
		return nil, false
	}
	m.Response, m.Additionals = true, nil
	if q := m.Questions[0]; q.Type == dnsmessage.TypeA {
		was4 = true
		m.Answers = []dnsmessage.Resource{{
			Header: dnsmessage.ResourceHeader{Name: q.Name, Type: q.Type, Class: q.Class},
			Body:   &dnsmessage.AResource{A: with.As4()},
		}}
	}
	reply, _ = m.Pack()
	return reply, was4
}

// A name that stands for a private address is not called, whatever it stood for
// when it was looked at before.
func TestANameForAPrivateAddressIsNotCalled(t *testing.T) {
	called := false
	inner := httptest.NewUnstartedServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { called = true }))
	inner.Config.ErrorLog = log.New(io.Discard, "", 0)
	inner.StartTLS()
	defer inner.Close()
	_, port, _ := net.SplitHostPort(inner.Listener.Addr().String())
	url := "https://innocent.example.org:" + port
	for _, answers := range [][]netip.Addr{
		{netip.MustParseAddr("127.0.0.1")},
		{netip.MustParseAddr("169.254.169.254")},
		{netip.MustParseAddr("10.1.2.3")},
	} {
		h := newHooks(Rules{}, resolver(t, answers...))
		j := &job{kept: &pb.KeptDelivery{Delivery: &pb.Delivery{WebhookUrl: url, WebhookSecret: secret}}, dispatch: &pb.Dispatch{Name: "dispatches/a"}, alerts: []*pb.Alert{anAlert(1)}}
		err := h.send(t.Context(), j)
		if !errors.Is(err, errPrivate) || !errors.As(err, new(permanent)) {
			t.Errorf("%v: %v", answers, err)
		}
	}
	if called {
		t.Error("it was called")
	}
	// With the operator's leave the same name is called: so the test can fail.
	if err := newHooks(Rules{Private: true}, resolver(t, netip.MustParseAddr("127.0.0.1"))).send(t.Context(), &job{
		kept: &pb.KeptDelivery{Delivery: &pb.Delivery{WebhookUrl: strings.Replace(url, "https", "http", 1), WebhookSecret: secret}}, dispatch: &pb.Dispatch{}, alerts: []*pb.Alert{anAlert(1)},
	}); err == nil || errors.Is(err, errPrivate) || !strings.Contains(err.Error(), "400") {
		t.Errorf("with leave: %v", err)
	}
}

// A name that stood for an allowed address, and was called there, is not called
// when it stands for another the next time. Two addresses of this machine play the
// public and the private one.
func TestANameThatIsBoundAnew(t *testing.T) {
	outside, inside := netip.MustParseAddr("127.0.0.2"), netip.MustParseAddr("127.0.0.1")
	out, err := net.Listen("tcp", "127.0.0.2:0")
	if err != nil {
		t.Skip("this machine has but one address of its own: ", err)
	}
	_, port, _ := net.SplitHostPort(out.Addr().String())
	in, err := net.Listen("tcp", "127.0.0.1:"+port)
	if err != nil {
		t.Skip("the port is taken: ", err)
	}
	var calls [2]atomic.Int32
	for i, l := range []net.Listener{out, in} {
		s := httptest.NewUnstartedServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { calls[i].Add(1) }))
		s.Listener.Close()
		s.Listener = l
		s.Start()
		t.Cleanup(s.Close)
	}
	h := newHooksBy(Rules{Private: true}, &net.Dialer{
		Resolver: resolver(t, outside, inside, outside), Control: onlyTo(func(at netip.Addr) bool { return at == outside }),
	})
	for n, refused := range []bool{false, true, false} {
		err := h.send(t.Context(), &job{
			kept:     &pb.KeptDelivery{Delivery: &pb.Delivery{WebhookUrl: "http://innocent.example.org:" + port, WebhookSecret: secret}},
			dispatch: &pb.Dispatch{Name: "dispatches/a"}, alerts: []*pb.Alert{anAlert(1)},
		})
		if errors.Is(err, errPrivate) != refused || !refused && err != nil {
			t.Errorf("call %d: %v", n+1, err)
		}
	}
	if calls[0].Load() != 2 || calls[1].Load() != 0 {
		t.Errorf("%d calls outside, %d inside", calls[0].Load(), calls[1].Load())
	}
}

// A delivery that was given when private addresses were allowed is not sent when
// they no longer are.
func TestLeaveThatIsTakenBack(t *testing.T) {
	h := newHookServer(t)
	r := newRig(t, allowed())
	r.put(t, h.delivery())
	r.rules = Rules{}
	r.again(t)
	r.alert(t, anAlert(1))
	r.finishAll(t)
	if dead := r.dead(t); len(h.got) != 0 || len(dead) != 1 || !strings.Contains(dead[0].GetLastError(), "must begin with https") {
		t.Errorf("%d calls, dead %v", len(h.got), dead)
	}
}

func TestVerify(t *testing.T) {
	now := time.Unix(1_700_000_000, 0)
	body := []byte(`{"name":"alerts/a"}`)
	signed := func(secret, id, timestamp string) http.Header {
		key, err := secretKey(secret)
		if err != nil {
			t.Fatal(err)
		}
		h := http.Header{}
		h.Set(HeaderID, id)
		h.Set(HeaderTimestamp, timestamp)
		h.Set(HeaderSignature, "v1a,other "+sign(key, id, timestamp, body))
		return h
	}
	good := signed(secret, "a", "1700000000")
	if id, err := Verify(secret, good, body, now); id != "a" || err != nil {
		t.Errorf("genuine: %q, %v", id, err)
	}
	for name, c := range map[string]struct {
		secret string
		header http.Header
		body   string
		now    time.Time
		want   error
	}{
		"another secret":   {secret + "x", good, string(body), now, ErrSignature},
		"another body":     {secret, good, string(body) + " ", now, ErrSignature},
		"no header":        {secret, http.Header{}, string(body), now, ErrSignature},
		"too late":         {secret, good, string(body), now.Add(ReplayWindow + time.Second), ErrReplay},
		"too early":        {secret, good, string(body), now.Add(-ReplayWindow - time.Second), ErrReplay},
		"just in time":     {secret, good, string(body), now.Add(ReplayWindow), nil},
		"time is no time":  {secret, signed(secret, "a", "soon"), string(body), now, ErrSignature},
		"another id":       {secret, with(good, HeaderID, "b"), string(body), now, ErrSignature},
		"another time":     {secret, with(good, HeaderTimestamp, "1700000001"), string(body), now, ErrSignature},
		"nothing signed":   {secret, with(good, HeaderSignature, ""), string(body), now, ErrSignature},
		"a broken secret":  {"whsec_!", good, string(body), now, nil},
		"a coded secret":   {"whsec_MDEyMzQ1Njc4OWFiY2RlZg==", signed("whsec_MDEyMzQ1Njc4OWFiY2RlZg==", "a", "1700000000"), string(body), now, nil},
		"the same uncoded": {"0123456789abcdef", signed("whsec_MDEyMzQ1Njc4OWFiY2RlZg==", "a", "1700000000"), string(body), now, nil},
	} {
		_, err := Verify(c.secret, c.header, []byte(c.body), c.now)
		if name == "a broken secret" {
			if err == nil || !strings.Contains(err.Error(), "base64") {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if !errors.Is(err, c.want) || (err == nil) != (c.want == nil) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func with(h http.Header, key, value string) http.Header {
	h = h.Clone()
	h.Set(key, value)
	return h
}

// The vector is that of the specification Standard Webhooks 1.0 as its libraries
// have it in their tests: from memory.
func TestSignAsTheSpecificationHasIt(t *testing.T) {
	key, err := secretKey("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")
	if err != nil {
		t.Fatal(err)
	}
	got := sign(key, "msg_p5jXN8AQM9LWM0D4loKWxJek", "1614265330", []byte(`{"test": 2432232314}`))
	if want := "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
