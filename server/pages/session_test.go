package pages

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

func TestSessionsEnd(t *testing.T) {
	s, err := newSealer(make([]byte, 32))
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	sealed := s.close("token", at)
	for after, want := range map[time.Duration]string{0: "token", sessionTime: "token", sessionTime + time.Second: "", -2 * time.Minute: ""} {
		if got := s.open(sealed, at.Add(after)); got != want {
			t.Errorf("after %v: %q", after, got)
		}
	}
	other, err := newSealer(append(make([]byte, 31), 1))
	if err != nil {
		t.Fatal(err)
	}
	if other.open(sealed, at) != "" {
		t.Error("another key opens it")
	}
	if _, err := newSealer(nil); err == nil {
		t.Error("no key is a key")
	}
}

func TestOnlyThisSite(t *testing.T) {
	for path, want := range map[string]string{
		"/wants?x=1#a": "/wants?x=1#a", "": "/", "https://attacker.example/": "/", "//attacker.example": "/", `/\attacker.example`: "/",
		"javascript:alert(1)": "/", "/\t/attacker.example": "/", "wants": "/", "/a\r\nb": "/",
	} {
		if got := local(path); got != want {
			t.Errorf("%q leads to %q", path, got)
		}
	}
}

func TestTakesGzip(t *testing.T) {
	for accepted, want := range map[string]bool{
		"": false, "gzip": true, "deflate, gzip;q=1.0, *;q=0.5": true, "GZIP": true, "gzip;q=0": false, "gzip; q=0.000": false, "br": false, "x-gzip": false,
	} {
		if got := takesGzip(accepted); got != want {
			t.Errorf("%q: %v", accepted, got)
		}
	}
}

// Where browsers come over TLS they are told to come no other way (RFC 6797), and the
// cookie goes no other way.
func TestOverTLS(t *testing.T) {
	for name, c := range map[string]struct {
		config Config
		secure bool
	}{
		"in the clear":   {Config{}, false},
		"TLS":            {Config{TLS: true}, true},
		"behind a proxy": {Config{PublicURL: "https://example.org"}, true},
	} {
		c.config.Accounts, c.config.Key = true, make([]byte, 32)
		site, err := New(c.config)
		if err != nil {
			t.Fatal(err)
		}
		got := httptest.NewRecorder()
		site.ServeHTTP(got, httptest.NewRequest(http.MethodPost, "/sign-out", nil))
		if told := got.Header().Get("Strict-Transport-Security") != ""; told != c.secure {
			t.Errorf("%s: told to come over TLS: %v", name, told)
		}
		if cookie := got.Result().Cookies()[0]; cookie.Secure != c.secure || strings.HasPrefix(cookie.Name, "__Host-") != c.secure {
			t.Errorf("%s: the cookie is %v", name, cookie)
		}
	}
}
