package deliver

import (
	"errors"
	"fmt"
	"net"
	"slices"
	"strings"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

func repeat(w whim, n int) []whim {
	all := make([]whim, n)
	for i := range all {
		all[i] = w
	}
	return all
}

// Whatever a mail server does, an e-mail arrives at least once, each time with
// the same Message-ID, or lies in the dead-letter box.
func TestEmailAgainstWhims(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		whims []whim
		took  int // how many times the server took it
		tries int
		dead  bool
	}{
		"takes it":                        {nil, 1, 1, false},
		"451 at RCPT, twice":              {repeat(later451, 2), 1, 3, false},
		"452 after the content":           {[]whim{dataLater}, 1, 2, false},
		"hangs up amid the content":       {repeat(drops, 2), 1, 3, false},
		"takes it and forgets to say":     {[]whim{forgets}, 2, 2, false},
		"takes it and says nothing":       {[]whim{stalls}, 2, 2, false},
		"takes it and leaves":             {[]whim{leaves}, 1, 1, false},
		"does not greet us":               {[]whim{greets554}, 1, 2, false},
		"421 at MAIL":                     {[]whim{mailLater}, 1, 2, false},
		"550 at MAIL, of us and for ever": {repeat(mailRefuse, 100), 0, mostTries, true},
		"hangs up at RCPT":                {repeat(rcptDrops, 2), 1, 3, false},
		"says nothing at RCPT":            {[]whim{rcptStalls}, 1, 2, false},
		"stalls amid the content":         {[]whim{dataStalls}, 1, 2, false},
		"550 at RCPT":                     {[]whim{refuses550}, 0, 1, true},
		"554 after the content":           {[]whim{dataRefuse}, 0, 1, true},
		"451 for ever":                    {repeat(later451, 100), 0, mostTries, true},
		"all of it, and takes it at last": {[]whim{later451, drops, dataLater, forgets, greets554}, 2, 6, false},
		"takes it the last time":          {repeat(later451, mostTries-1), 1, mostTries, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := newMailServer(t, c.whims...)
			r := newRig(t, m.config())
			r.put(t, &pb.Delivery{Email: address})
			r.alert(t, anAlert(1))
			r.finishAll(t)
			if mails := m.mails(); len(mails) != c.took || m.tries != c.tries {
				t.Fatalf("taken %d times in %d tries, want %d in %d\n%s", len(mails), m.tries, c.took, c.tries, r.log)
			}
			ids := map[string]bool{}
			for _, mail := range m.mails() {
				ids[mail.Header.Get("Message-Id")] = true
			}
			if len(ids) > 1 || ids[""] {
				t.Errorf("message ids %v", ids)
			}
			if dead := r.dead(t); (len(dead) == 1) != c.dead {
				t.Errorf("dead letters %v", dead)
			}
			r.private(t)
		})
	}
}

// A server that is not there, hangs up, says nothing, or talks of something else
// before it has even greeted is tried again.
func TestMailServersThatDoNotGreet(t *testing.T) {
	silence := make(chan struct{})
	defer close(silence)
	for name, greet := range map[string]func(net.Conn){
		"hangs up":         func(net.Conn) {},
		"says nothing":     func(net.Conn) { <-silence },
		"421":              func(c net.Conn) { fmt.Fprint(c, "421 mail.example going down\r\n") },
		"half a line":      func(c net.Conn) { fmt.Fprint(c, "220 mail.exam"); <-silence },
		"another protocol": func(c net.Conn) { fmt.Fprint(c, "HTTP/1.1 400 Bad Request\r\n\r\n") },
	} {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { l.Close() })
		go func() {
			for {
				c, err := l.Accept()
				if err != nil {
					return
				}
				go func() {
					defer c.Close()
					greet(c)
				}()
			}
		}()
		afterOneTry(t, name, l.Addr().String())
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l.Close()
	afterOneTry(t, "is not there", l.Addr().String())
}

// afterOneTry tries a mail server once, and then has a good one in its place.
func afterOneTry(t *testing.T, name, server string) {
	t.Helper()
	good := newMailServer(t)
	c := good.config()
	c.Mail.Server = server
	r := newRig(t, c)
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(1))
	r.settle(t)
	r.clock.set(r.clock.now().Add(usualGather))
	r.settle(t)
	if d := r.dispatches(t)[0]; d.GetTries() != 1 || d.GetState() != pb.DispatchState_DISPATCH_STATE_DUE || d.GetLastError() == "" {
		t.Errorf("%s: after a try %v", name, d)
	}
	r.mail.Server = good.addr
	r.finishAll(t)
	if len(good.mails()) != 1 {
		t.Errorf("%s: it arrived %d times", name, len(good.mails()))
	}
	r.private(t)
}

// A weekly digest goes on Monday morning on the seeker's clock, what is urgent at
// once.
func TestAWeeklyDigest(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config()) // on Wednesday 3 June 2026
	r.put(t, &pb.Delivery{Email: address, Digest: pb.Digest_DIGEST_WEEKLY, TimeZone: "America/Detroit"})
	r.alert(t, anAlert(1), anAlert(3))
	if next, want := r.settle(t), at("2026-06-08T12:00:00Z"); !next.Equal(want) {
		t.Fatalf("next at %v, want %v", next, want)
	}
	r.clock.set(at("2026-06-05T14:00:00Z"))
	urgent := anAlert(2)
	urgent.Lot.ClearBy = &pb.Date{Year: 2026, Month: 6, Day: 12}
	r.alert(t, urgent)
	r.finishAll(t)
	var subjects []string
	for _, mail := range m.mails() {
		subjects = append(subjects, mail.Header.Get("Subject"))
	}
	if want := []string{
		"Urgent, to go by 12 June 2026: Halvorsen platen jobber no. 2, in Dayton, OH",
		"2 things you want have turned up: Halvorsen platen jobber no. 3, and more",
	}; !slices.Equal(subjects, want) || !r.clock.now().Equal(at("2026-06-08T12:00:00Z")) {
		t.Errorf("%q, the last at %v", subjects, r.clock.now())
	}
}

// private checks that no address has come into the log or a dead letter.
func (r *rig) private(t *testing.T) {
	t.Helper()
	told := r.log.String()
	for _, d := range r.dispatches(t) {
		told += d.String()
	}
	for _, d := range r.dead(t) {
		told += d.String()
		if d.GetLastError() == "" {
			t.Error("a dead letter does not say why")
		}
	}
	for _, word := range []string{address, "seeker.example", secret} {
		if strings.Contains(strings.ToLower(told), word) {
			t.Errorf("%s is told in %s", word, told)
		}
	}
}

// A dead letter that the operator puts back goes with the id that it had.
func TestADeadLetterIsTriedAgain(t *testing.T) {
	m := newMailServer(t, refuses550)
	r := newRig(t, m.config())
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(1))
	r.finishAll(t)
	dead := r.dead(t)
	if len(dead) != 1 {
		t.Fatalf("dead letters: %v", dead)
	}
	if err := Retry(t.Context(), r.store, ID(dead[0]), r.clock.now()); err != nil {
		t.Fatal(err)
	}
	r.finishAll(t)
	mails := m.mails()
	if len(mails) != 1 || mails[0].Header.Get("Message-Id") != "<"+ID(dead[0])+"@registry.example>" {
		t.Fatalf("taken: %v", mails)
	}
	if dead := r.dead(t); len(dead) != 0 {
		t.Errorf("dead letters: %v", dead)
	}
	if err := Retry(t.Context(), r.store, ID(dead[0]), r.clock.now()); err == nil {
		t.Error("what is not in the box was put back")
	}
}

// It may die again, and lies in the box once.
func TestADeadLetterMayDieAgain(t *testing.T) {
	m := newMailServer(t, refuses550, refuses550)
	r := newRig(t, m.config())
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(1))
	r.finishAll(t)
	if err := Retry(t.Context(), r.store, ID(r.dead(t)[0]), r.clock.now()); err != nil {
		t.Fatal(err)
	}
	r.finishAll(t)
	if dead := r.dead(t); len(dead) != 1 || dead[0].GetTries() != 1 {
		t.Errorf("dead letters: %v", dead)
	}
}

// A process that dies between the sending and the writing of it sends again when
// the lease has run out, with the same id; one that dies before the sending loses
// nothing.
func TestACrashBetweenSendingAndWriting(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(1))
	r.settle(t)
	r.clock.set(r.clock.now().Add(usualGather))
	if err := r.catchUp(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := r.pack(t.Context(), list); err != nil {
		t.Fatal(err)
	}
	name := r.dispatches(t)[0].GetName()
	j, err := r.claim(t.Context(), name)
	if err != nil || j == nil {
		t.Fatal(j, err)
	}
	if err := r.mail.send(t.Context(), j); err != nil {
		t.Fatal(err)
	}
	r.again(t)
	if other, err := r.claim(t.Context(), name); other != nil || err != nil {
		t.Fatalf("another took it while it was leased: %v, %v", other, err)
	}
	next := r.settle(t)
	if want := r.clock.now().Add(leaseTime); !next.Equal(want) || len(m.mails()) != 1 {
		t.Fatalf("taken %d times, next at %v, want %v", len(m.mails()), next, want)
	}
	r.finishAll(t)
	mails := m.mails()
	if len(mails) != 2 || mails[0].Header.Get("Message-Id") != mails[1].Header.Get("Message-Id") {
		t.Fatalf("taken: %v", mails)
	}
	// The one that was thought dead comes back: it has no say any more.
	if err := r.finish(t.Context(), j, fmt.Errorf("too late")); err != nil {
		t.Fatal(err)
	}
	if d := r.dispatches(t)[0]; d.GetState() != pb.DispatchState_DISPATCH_STATE_SENT {
		t.Errorf("it is %v", d.GetState())
	}
}

// One whose lease has run out while it was sending has no say over the try that
// came after it.
func TestALateTryHasNoSay(t *testing.T) {
	r := newRig(t, newMailServer(t).config())
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(1))
	r.settle(t)
	r.clock.set(r.clock.now().Add(usualGather))
	if err := r.catchUp(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := r.pack(t.Context(), list); err != nil {
		t.Fatal(err)
	}
	name := r.dispatches(t)[0].GetName()
	late, err := r.claim(t.Context(), name)
	if err != nil || late == nil {
		t.Fatal(late, err)
	}
	r.clock.set(r.clock.now().Add(leaseTime))
	next, err := r.claim(t.Context(), name)
	if err != nil || next == nil {
		t.Fatal(next, err)
	}
	if err := r.finish(t.Context(), late, permanent{errors.New("refused")}); err != nil {
		t.Fatal(err)
	}
	if d := r.dispatches(t)[0]; d.GetState() != pb.DispatchState_DISPATCH_STATE_DUE || d.GetLease() != next.dispatch.GetLease() || len(r.dead(t)) != 0 {
		t.Errorf("the late one had its say: %v", d)
	}
	if err := r.finish(t.Context(), next, nil); err != nil {
		t.Fatal(err)
	}
	if d := r.dispatches(t)[0]; d.GetState() != pb.DispatchState_DISPATCH_STATE_SENT {
		t.Errorf("the next one had no say: %v", d)
	}
}

// The e-mail of an alert is whole.
func TestAnEmailIsWhole(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.put(t, &pb.Delivery{Email: address, TimeZone: "America/Detroit"})
	a := anAlert(1)
	a.Lot.ClearBy = &pb.Date{Year: 2026, Month: 6, Day: 10}
	r.alert(t, a)
	r.finishAll(t)
	mails := m.mails()
	if len(mails) != 1 {
		t.Fatalf("%d e-mails", len(mails))
	}
	h := mails[0].Header
	for key, want := range map[string]string{
		"From": `"heirpress" <alerts@registry.example>`, "To": "<" + address + ">", "Auto-Submitted": "auto-generated",
		"List-Unsubscribe": "<https://registry.example/stop-email/token>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
		"Subject": "Urgent, to go by 10 June 2026: Halvorsen platen jobber no. 1, in Dayton, OH",
		"Date":    "Wed, 03 Jun 2026 14:01:00 +0000",
	} {
		if got := h.Get(key); got != want {
			t.Errorf("%s: %q, want %q", key, got, want)
		}
	}
	text, html := parts(t, mails[0])
	for _, want := range []string{
		"Urgent: it has to go by 10 June 2026, in 7 days.\nWanted: A platen\n", "Halvorsen platen jobber no. 1, tag P1: a new lot",
		"fit 0 of 100", "Marrowby, Dayton, OH", "clear by 10 June 2026", "to move: ", "ask: How wide is the door?",
		"to read more: heirpress show marrowby/p1", "to plan the move: heirpress rig marrowby/p1",
		`your wanted list "Posters"`, "https://registry.example/stop-email/token", "heirpress want deliver posters --off",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the text does not say %q:\n%s", want, text)
		}
	}
	for _, want := range []string{"Urgent: it has to go by 10 June 2026", "Halvorsen platen jobber no. 1", "<code>heirpress rig marrowby/p1</code>"} {
		if !strings.Contains(html, want) {
			t.Errorf("the HTML does not say %q:\n%s", want, html)
		}
	}
	for _, asks := range []string{"src=", "url(", "<link", "<script", "@import", "<img"} {
		if strings.Contains(html, asks) {
			t.Errorf("the HTML asks something of the outside: %s", asks)
		}
	}
}

// A flood is one e-mail: the first in full, the rest counted.
func TestAFloodIsOneDigest(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.put(t, &pb.Delivery{Email: address})
	for n := range 500 {
		r.alert(t, anAlert(n))
	}
	r.finishAll(t)
	mails := m.mails()
	if len(mails) != 1 {
		t.Fatalf("%d e-mails", len(mails))
	}
	text, _ := parts(t, mails[0])
	if got := strings.Count(text, "Wanted: "); got != mostInFull {
		t.Errorf("%d told in full", got)
	}
	if !strings.Contains(text, "And 490 more. To see them all: heirpress alerts --list posters") {
		t.Errorf("the rest is not counted:\n%s", text)
	}
	if best, second := strings.Index(text, "no. 499,"), strings.Index(text, "no. 498,"); best < 0 || second < best {
		t.Errorf("the best fit is not the first:\n%s", text)
	}
	if got := mails[0].Header.Get("Subject"); got != "500 things you want have turned up: Halvorsen platen jobber no. 499, and more" {
		t.Errorf("subject %q", got)
	}
}

// What is more than the most in a day waits for the morning, and then comes in
// one e-mail; also if the process is begun anew meanwhile.
func TestTheMostInADay(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config()) // at 14:00 UTC
	r.put(t, &pb.Delivery{Email: address, MostADay: new(int32(2))})
	for n := range 6 {
		r.alert(t, anAlert(n))
		r.settle(t)
		r.clock.set(r.clock.now().Add(usualGather))
		r.settle(t)
		r.again(t)
	}
	if got := len(m.mails()); got != 2 {
		t.Fatalf("%d e-mails on the first day", got)
	}
	next := r.settle(t)
	if want := at("2026-06-04T08:00:00Z"); !next.Equal(want) {
		t.Fatalf("next at %v, want %v", next, want)
	}
	r.finishAll(t)
	mails := m.mails()
	if len(mails) != 3 || !strings.HasPrefix(mails[2].Header.Get("Subject"), "4 things you want have turned up") {
		t.Errorf("%d e-mails; the last is %q", len(mails), mails[len(mails)-1].Header.Get("Subject"))
	}
}

// Retries keep the quiet hours too.
func TestRetriesKeepTheQuietHours(t *testing.T) {
	m := newMailServer(t, repeat(later451, 8)...)
	r := newRig(t, m.config())
	r.clock.set(at("2026-06-04T01:30:00Z")) // 21:30 in Detroit
	r.put(t, &pb.Delivery{Email: address, TimeZone: "America/Detroit", QuietFrom: "22:00", QuietUntil: "07:00"})
	r.alert(t, anAlert(1))
	q := quiet{22 * 60, 7 * 60}
	for before := 0; ; {
		next := r.settle(t)
		if local := r.clock.now().In(zone(t, "America/Detroit")); m.tries > before && q.holds(local) {
			t.Fatalf("tried at %v", local)
		}
		before = m.tries
		if next.IsZero() {
			break
		}
		r.clock.set(next)
	}
	if m.tries != 9 || len(m.mails()) != 1 {
		t.Errorf("%d tries, taken %d times", m.tries, len(m.mails()))
	}
}

// Turned off while something waits or is to be sent, nothing goes.
func TestTurnedOffMeanwhile(t *testing.T) {
	m := newMailServer(t, later451)
	r := newRig(t, m.config())
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(1))
	r.settle(t)
	r.clock.set(r.clock.now().Add(usualGather))
	r.settle(t) // the first is refused for now
	r.alert(t, anAlert(2))
	r.settle(t)
	if err := stopEmail(t.Context(), r.store, "token"); err != nil {
		t.Fatal(err)
	}
	r.finishAll(t)
	if m.tries != 1 || len(m.mails()) != 0 || len(r.dead(t)) != 0 {
		t.Errorf("%d tries, %d taken, dead %v", m.tries, len(m.mails()), r.dead(t))
	}
	if all := r.dispatches(t); len(all) != 1 || all[0].GetState() != pb.DispatchState_DISPATCH_STATE_DROPPED {
		t.Errorf("dispatches: %v", all)
	}
}

// An alert that is older than the delivery is not delivered after the event, nor
// one that was made while e-mail was off.
func TestNoNewsOfOldAlerts(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.alert(t, anAlert(1))
	r.put(t, &pb.Delivery{Email: address, Digest: pb.Digest_DIGEST_NONE})
	r.alert(t, anAlert(2))
	r.finishAll(t)
	r.put(t, &pb.Delivery{Email: address})
	r.alert(t, anAlert(3))
	r.finishAll(t)
	if mails := m.mails(); len(mails) != 1 || !strings.Contains(mails[0].Header.Get("Subject"), "no. 3") {
		t.Errorf("%v", mails)
	}
}

// Whenever it is stopped and begun anew, each alert goes in one e-mail.
func TestBegunAnew(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.put(t, &pb.Delivery{Email: address})
	for n := range 20 {
		r.alert(t, anAlert(n))
		if n%3 == 0 {
			r.settle(t)
		}
		if n%4 == 0 {
			r.again(t)
		}
		r.clock.set(r.clock.now().Add(25 * time.Second))
	}
	r.finishAll(t)
	told := map[string]int{}
	for _, d := range r.dispatches(t) {
		for _, a := range d.GetAlerts() {
			told[a]++
		}
	}
	for n := range 20 {
		if told[anAlert(n).GetName()] != 1 {
			t.Errorf("alert %d is in %d e-mails", n, told[anAlert(n).GetName()])
		}
	}
	if len(m.mails()) != len(r.dispatches(t)) {
		t.Errorf("%d e-mails of %d", len(m.mails()), len(r.dispatches(t)))
	}
}
