package deliver

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// subjects are those of the e-mails that were taken: "?" for a question.
func (m *mailServer) subjects() (all []string) {
	for _, mail := range m.mails() {
		subject := mail.Header.Get("Subject")
		if subject == confirmSubject {
			subject = "?"
		}
		all = append(all, subject)
	}
	return all
}

func (m *mailServer) wantSubjects(t *testing.T, want ...string) {
	t.Helper()
	if got := m.subjects(); !slices.Equal(got, want) {
		t.Fatalf("e-mails: %q, want %q", got, want)
	}
}

// page asks for a page at the time of the rig's clock.
func (r *rig) page(t *testing.T, method, path string) (int, string) {
	t.Helper()
	w := web{r.store, r.Deliverer.log, r.clock.now}
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+ConfirmPath+"{token}/{code}", w.question)
	mux.HandleFunc("POST "+ConfirmPath+"{token}/{code}", w.confirm)
	got := httptest.NewRecorder()
	mux.ServeHTTP(got, httptest.NewRequest(method, path, nil))
	return got.Code, got.Body.String()
}

func (r *rig) wantPage(t *testing.T, method, path string, status int, says string) {
	t.Helper()
	if code, text := r.page(t, method, path); code != status || !strings.Contains(text, says) || strings.Contains(text, address) {
		t.Fatalf("%s %s: %d, %s", method, path, code, text)
	}
}

const (
	aCode     = "a-code"
	codePath  = "/confirm-email/token/a-code"
	firstText = "Halvorsen platen jobber no. 1, in Dayton, OH"
)

// An address is asked before anything else goes there. To look at the page is not
// to press the button; when it was pressed, what has waited goes.
func TestAnAddressIsAskedFirst(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.putUnconfirmed(t, &pb.Delivery{Email: address}, aCode)
	r.settle(t)
	m.wantSubjects(t, "?")
	h, text := m.mails()[0].Header, strings.ReplaceAll(m.raw[0], "=\r\n", "")
	for _, want := range []string{"https://registry.example" + codePath, "https://registry.example/stop-email/token", "10 June 2026, 14:00 UTC"} {
		if !strings.Contains(text, want) {
			t.Errorf("the question does not say %q:\n%s", want, text)
		}
	}
	if h.Get("To") != "<"+address+">" || h.Get("List-Unsubscribe-Post") == "" || strings.Contains(text, "Posters") {
		t.Errorf("the question is %s", text)
	}
	r.alert(t, anAlert(1))
	r.settle(t)
	r.clock.set(r.clock.now().Add(48 * time.Hour))
	r.settle(t)
	r.wantPage(t, http.MethodGet, codePath, 200, "<button")
	r.wantPage(t, http.MethodHead, codePath, 200, "")
	r.settle(t)
	m.wantSubjects(t, "?")
	r.wantPage(t, http.MethodPost, "/confirm-email/token/other", 404, "There is no such page")
	r.wantPage(t, http.MethodPost, "/confirm-email/other/a-code", 404, "There is no such page")
	for range 2 {
		r.wantPage(t, http.MethodPost, codePath, 200, "E-mail is on")
		r.finishAll(t)
		m.wantSubjects(t, "?", firstText)
	}
	r.private(t)
}

// A question that nobody answers in a week is over: nothing goes, not even when
// the button is pressed then.
func TestAQuestionExpires(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.putUnconfirmed(t, &pb.Delivery{Email: address}, aCode)
	r.alert(t, anAlert(1))
	r.settle(t)
	r.clock.set(r.clock.now().Add(confirmFor))
	r.wantPage(t, http.MethodGet, codePath, 410, "too late")
	r.wantPage(t, http.MethodPost, codePath, 410, "too late")
	r.finishAll(t)
	r.alert(t, anAlert(2))
	r.finishAll(t)
	m.wantSubjects(t, "?")
	if n := r.open(t); n != 0 {
		t.Errorf("%d still wait", n)
	}
}

// Nobody is asked more than three times in a day, whatever is put.
func TestNobodyIsPestered(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	for n := range 6 {
		to := address
		if n%2 == 1 {
			to = strings.ToUpper(address)
		}
		r.putUnconfirmed(t, &pb.Delivery{Email: to}, fmt.Sprint("code", n))
		r.settle(t)
		r.clock.set(r.clock.now().Add(time.Hour))
	}
	m.wantSubjects(t, "?", "?", "?")
	next := r.settle(t)
	if want := at("2026-06-04T14:00:00Z"); !next.Equal(want) {
		t.Fatalf("asked again at %v, want %v", next, want)
	}
	r.clock.set(next)
	r.settle(t)
	m.wantSubjects(t, "?", "?", "?", "?")
	r.wantPage(t, http.MethodPost, "/confirm-email/token/code2", 404, "no such page")
	r.wantPage(t, http.MethodPost, "/confirm-email/token/code5", 200, "E-mail is on")
}

// Who was asked is forgotten after a day; when that does not help, nobody is asked
// for a while.
func TestQuestionsAreForgotten(t *testing.T) {
	q, now := questions{}, at("2026-06-03T14:00:00Z")
	for n := range askedMost {
		q.add(fmt.Sprint(n, "@seeker.example"), now)
	}
	if !q.full(now.Add(23*time.Hour)) || q.full(now.Add(24*time.Hour)) || len(q) != 0 {
		t.Errorf("%d are remembered", len(q))
	}
}

// A question whose address was changed before it went does not go; what was to go
// to the address before waits for the new one to be confirmed.
func TestAnAddressIsChangedMeanwhile(t *testing.T) {
	m := newMailServer(t, later451, later451)
	r := newRig(t, m.config())
	r.putUnconfirmed(t, &pb.Delivery{Email: "old@seeker.example"}, "old")
	r.settle(t) // refused for now
	r.put(t, &pb.Delivery{Email: "old@seeker.example"})
	r.alert(t, anAlert(1))
	r.settle(t)
	r.clock.set(r.clock.now().Add(usualGather))
	r.settle(t) // refused for now too, and the question is dropped
	r.putUnconfirmed(t, &pb.Delivery{Email: address}, aCode)
	for range 4 {
		r.clock.set(r.clock.now().Add(confirmPause))
		r.settle(t)
	}
	m.wantSubjects(t, "?")
	r.wantPage(t, http.MethodPost, codePath, 200, "E-mail is on")
	r.finishAll(t)
	m.wantSubjects(t, "?", firstText)
	for _, mail := range m.mails() {
		if mail.Header.Get("To") != "<"+address+">" {
			t.Errorf("sent to %s", mail.Header.Get("To"))
		}
	}
	if dropped := slices.ContainsFunc(r.dispatches(t), func(d *pb.Dispatch) bool {
		return d.GetConfirmation() && d.GetState() == pb.DispatchState_DISPATCH_STATE_DROPPED
	}); !dropped {
		t.Error("the first question was not dropped")
	}
}

// Turned off from within the question, nothing goes, whatever is pressed after.
func TestAQuestionIsTurnedDown(t *testing.T) {
	m := newMailServer(t)
	r := newRig(t, m.config())
	r.putUnconfirmed(t, &pb.Delivery{Email: address}, aCode)
	r.alert(t, anAlert(1))
	r.settle(t)
	if err := stopEmail(t.Context(), r.store, "token"); err != nil {
		t.Fatal(err)
	}
	r.finishAll(t)
	r.wantPage(t, http.MethodPost, codePath, 200, "E-mail")
	r.wantPage(t, http.MethodGet, codePath, 200, "E-mail is off")
	r.alert(t, anAlert(2))
	r.finishAll(t)
	m.wantSubjects(t, "?")
}

// An address that was put while the registry sent no e-mail is asked when it does:
// once, also if the process is begun anew. A registry that need not ask does not.
func TestAskedOnce(t *testing.T) {
	for unasked, want := range map[bool][]string{false: {"?"}, true: {firstText}} {
		m := newMailServer(t)
		c := m.config()
		r := newRig(t, Config{Rules: c.Rules})
		r.putUnconfirmed(t, &pb.Delivery{Email: address}, aCode)
		r.alert(t, anAlert(0)) // moves the cursor beyond the delivery
		r.settle(t)
		r.mail, r.unasked = c.Mail, unasked
		for range 2 {
			r.again(t)
			r.settle(t)
		}
		r.alert(t, anAlert(1))
		r.settle(t)
		r.clock.set(r.clock.now().Add(usualGather))
		r.settle(t)
		m.wantSubjects(t, want...)
	}
}
