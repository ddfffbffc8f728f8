package pages_test

import (
	"net/http"
	"strings"
	"testing"

	"heirpress/server"
)

// Every answer, of whatever sort, carries the headers. Their names and values are
// those of CSP Level 3, Fetch, RFC 6797 and the Permissions Policy draft.
func TestHeaders(t *testing.T) {
	s := demonstrated(t)
	for _, path := range append(paths(s), "/none", "/find?near=Nowherebury") {
		h := s.get(t, path).Header
		for name, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin",
			"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin",
		} {
			if got := h.Get(name); got != want {
				t.Errorf("%s: %s is %q", path, name, got)
			}
		}
		csp := h.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action"} {
			if !strings.Contains(csp, want) {
				t.Errorf("%s: the policy lacks %s: %s", path, want, csp)
			}
		}
		if strings.Contains(csp, "unsafe") || strings.Contains(csp, "*") || strings.Contains(csp, "http") {
			t.Errorf("%s: the policy is not strict: %s", path, csp)
		}
		if h.Get("Set-Cookie") != "" {
			t.Errorf("%s sets a cookie that nobody has asked for", path)
		}
	}
}

// Without accounts the pages are for this machine: another name that leads to it,
// which somebody else's page may have been given, gets nothing.
func TestAnotherNameGetsNothing(t *testing.T) {
	s := demonstrated(t)
	for host, status := range map[string]int{
		"localhost": http.StatusOK, "127.0.0.1:8080": http.StatusOK, "[::1]:8080": http.StatusOK, "LOCALHOST:1": http.StatusOK,
		"attacker.example": http.StatusMisdirectedRequest, "127.0.0.1.attacker.example": http.StatusMisdirectedRequest, "10.0.0.1": http.StatusMisdirectedRequest,
	} {
		r := request(t, http.MethodGet, s.at+"/", nil)
		r.Host = host
		if got := s.do(t, r); got.StatusCode != status || status != http.StatusOK && strings.Contains(got.text(), "Lately") {
			t.Errorf("%s: %d, want %d", host, got.StatusCode, status)
		}
	}
}

// The cases are those of the Fetch Metadata and Origin headers as browsers send
// them (W3C Fetch Metadata; RFC 6454).
func TestFromAnotherSite(t *testing.T) {
	s := demonstrated(t)
	for _, c := range []struct {
		name, value string
		refused     bool
	}{
		{"Sec-Fetch-Site", "cross-site", true}, {"Sec-Fetch-Site", "same-site", true}, {"Sec-Fetch-Site", "same-origin", false},
		{"Origin", "https://attacker.example", true}, {"Origin", "null", true}, {"Origin", s.at, false},
	} {
		r := request(t, http.MethodPost, s.at+"/wants", strings.NewReader("q=press"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set(c.name, c.value)
		if got := s.do(t, r); (got.StatusCode == http.StatusForbidden) != c.refused {
			t.Errorf("%s: %s: %d", c.name, c.value, got.StatusCode)
		}
	}
}

// A page's calls and a program's calls draw on the same limit of an address.
func TestLimitsAreShared(t *testing.T) {
	p := serveAccountsWith(t, server.Config{Accounts: server.ByInvitation, Limits: server.Limits{PerSecond: 0.01, Burst: 12}}, server.ServeConfig{})
	refused := 0
	for range 14 {
		got := p.get(t, "/")
		if got.StatusCode == http.StatusTooManyRequests {
			refused++
			if got.Header.Get("Retry-After") == "" {
				t.Error("does not say when to come again")
			}
			got.is(t, http.StatusTooManyRequests, "Too much at once", "try again in")
		}
	}
	if refused == 0 {
		t.Fatal("no page was refused")
	}
	if err := p.search(t); err == nil {
		t.Error("a program at the same address still gets answers")
	}
}
