package deliver

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func ask(t *testing.T, r *rig, method, path, body string) *http.Response {
	t.Helper()
	req := httptest.NewRequest(method, path, strings.NewReader(body))
	if body != "" {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	w := httptest.NewRecorder()
	Web(r.store, slog.New(slog.DiscardHandler)).ServeHTTP(w, req)
	return w.Result()
}

func says(t *testing.T, r *http.Response) string {
	t.Helper()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

func (r *rig) digest(t *testing.T) pb.Digest {
	t.Helper()
	kept, err := keptOf(t.Context(), r.store, list)
	if err != nil {
		t.Fatal(err)
	}
	return kept.GetDelivery().GetDigest()
}

// To look changes nothing; the button, or a mail program's one click, turns
// e-mail off, however often.
func TestTurnEmailOff(t *testing.T) {
	r := newRig(t, Config{})
	r.put(t, &pb.Delivery{Email: address, Digest: pb.Digest_DIGEST_DAILY})
	for range 2 {
		got := ask(t, r, http.MethodGet, "/stop-email/token", "")
		if text := says(t, got); got.StatusCode != 200 || !strings.Contains(text, "<button") || strings.Contains(text, address) {
			t.Fatalf("%d: %s", got.StatusCode, text)
		}
		ask(t, r, http.MethodHead, "/stop-email/token", "")
		if r.digest(t) != pb.Digest_DIGEST_DAILY {
			t.Fatal("to look at the page turned e-mail off")
		}
	}
	head, _ := r.store.Head(t.Context())
	for i := range 2 {
		got := ask(t, r, http.MethodPost, "/stop-email/token", "List-Unsubscribe=One-Click")
		if text := says(t, got); got.StatusCode != 200 || !strings.Contains(text, "E-mail is off") {
			t.Fatalf("%d: %s", got.StatusCode, text)
		}
		kept, _ := keptOf(t.Context(), r.store, list)
		if r.digest(t) != pb.Digest_DIGEST_NONE || kept.GetDelivery().GetEmailStoppedTime() == nil {
			t.Fatal("e-mail is not off")
		}
		if now, _ := r.store.Head(t.Context()); now != head+1 {
			t.Errorf("after click %d the store has changed %d times", i+1, now-head)
		}
	}
	if text := says(t, ask(t, r, http.MethodGet, "/stop-email/token", "")); strings.Contains(text, "<button") {
		t.Errorf("it is off, and is asked again: %s", text)
	}
}

func TestPagesThatAreNotThere(t *testing.T) {
	r := newRig(t, Config{})
	r.put(t, &pb.Delivery{Email: address})
	for _, c := range []struct {
		method, path string
		status       int
	}{
		{http.MethodGet, "/", 404}, {http.MethodGet, "/stop-email/", 404}, {http.MethodGet, "/stop-email/other", 404},
		{http.MethodPost, "/stop-email/other", 404}, {http.MethodPost, "/stop-email/", 404}, {http.MethodGet, "/stop-email/%00", 404},
		{http.MethodGet, "/stop-email/token/more", 404}, {http.MethodPut, "/stop-email/token", 404}, {http.MethodDelete, "/stop-email/token", 404},
	} {
		got := ask(t, r, c.method, c.path, "")
		if got.StatusCode != c.status || !strings.Contains(says(t, got), "There is no such page") {
			t.Errorf("%s %s: %d", c.method, c.path, got.StatusCode)
		}
	}
	if r.digest(t) != pb.Digest_DIGEST_UNSPECIFIED {
		t.Error("e-mail was turned off")
	}
}

// A page asks nothing of other sites, and tells them nothing.
func TestPagesKeepToThemselves(t *testing.T) {
	r := newRig(t, Config{})
	r.put(t, &pb.Delivery{Email: address})
	got := ask(t, r, http.MethodGet, "/stop-email/token", "")
	for key, want := range map[string]string{
		"Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "X-Robots-Tag": "noindex",
	} {
		if got.Header.Get(key) != want {
			t.Errorf("%s: %q", key, got.Header.Get(key))
		}
	}
	if csp := got.Header.Get("Content-Security-Policy"); !strings.Contains(csp, "default-src 'none'") || !strings.Contains(csp, "frame-ancestors 'none'") {
		t.Errorf("policy %q", csp)
	}
}

// A store that fails is a fault of ours, and is said to be.
func TestAStoreThatFails(t *testing.T) {
	r := newRig(t, Config{})
	r.put(t, &pb.Delivery{Email: address})
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	for _, method := range []string{http.MethodGet, http.MethodPost} {
		got := ask(t, r, method, "/stop-email/token", "")
		if text := says(t, got); got.StatusCode != 500 || !strings.Contains(text, "try again later") {
			t.Errorf("%s: %d %s", method, got.StatusCode, text)
		}
	}
}

func TestTokensAreNotToBeGuessed(t *testing.T) {
	seen := map[string]bool{}
	for range 1000 {
		token := NewToken()
		if len(token) < 26 || seen[token] {
			t.Fatalf("%q", token)
		}
		seen[token] = true
	}
}
