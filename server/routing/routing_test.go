package routing

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heirpress/search/place"
)

var (
	dayton     = place.Point{Lat: 39.759, Lng: -84.1916}
	pittsburgh = place.Point{Lat: 40.4406, Lng: -79.9959}
)

const query = "/route/v1/driving/{fromLng},{fromLat};{toLng},{toLat}?overview=false"

// serve is a service that answers so, and counts the calls.
func serve(t *testing.T, answer http.HandlerFunc) (*Service, *atomic.Int32) {
	t.Helper()
	calls := new(atomic.Int32)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		calls.Add(1)
		answer(w, r)
	}))
	t.Cleanup(server.Close)
	s, err := New(server.URL + query)
	if err != nil {
		t.Fatal(err)
	}
	return s, calls
}

func says(body string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, body) }
}

func TestKmAsksOnce(t *testing.T) {
	var asked atomic.Value
	s, calls := serve(t, func(w http.ResponseWriter, r *http.Request) {
		asked.Store(r.URL.Path + "?" + r.URL.RawQuery)
		fmt.Fprint(w, `{"code":"Ok","routes":[{"distance":416012.3,"duration":15400,"legs":[]}],"waypoints":[]}`)
	})
	for _, way := range [][2]place.Point{{dayton, pittsburgh}, {dayton, pittsburgh}, {pittsburgh, dayton}} {
		if km, err := s.Km(t.Context(), way[0], way[1]); err != nil || km != 416.0123 {
			t.Errorf("%v km, %v", km, err)
		}
	}
	if want := "/route/v1/driving/-84.19160,39.75900;-79.99590,40.44060?overview=false"; calls.Load() != 1 || asked.Load() != want {
		t.Errorf("%d calls, of %v", calls.Load(), asked.Load())
	}
}

func TestKmRefuses(t *testing.T) {
	for name, answer := range map[string]http.HandlerFunc{
		"garbage":             says("<html>"),
		"nothing":             says(""),
		"cut off":             says(`{"routes":[{"distance":4160`),
		"a number as text":    says(`{"routes":[{"distance":"416012"}]}`),
		"shorter than a line": says(`{"routes":[{"distance":1000}]}`),
		"round the world":     says(`{"routes":[{"distance":40000000}]}`),
		"a huge number":       says(`{"routes":[{"distance":1e999}]}`),
		"less than nothing":   says(`{"routes":[{"distance":-416012}]}`),
		"no route":            says(`{"code":"NoRoute","routes":[{"distance":416012}]}`),
		"no routes":           says(`{"code":"Ok","routes":[]}`),
		"no distance":         says(`{"code":"Ok","routes":[{"duration":1}]}`),
		"an error":            func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusTooManyRequests) },
		"sent elsewhere":      func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/other", http.StatusFound) },
		"endless": func(w http.ResponseWriter, _ *http.Request) {
			fmt.Fprint(w, `{"code":"`, strings.Repeat("x", 2*largestReply))
		},
		"hung up": func(w http.ResponseWriter, _ *http.Request) {
			conn, _, err := w.(http.Hijacker).Hijack()
			if err == nil {
				conn.Close()
			}
		},
	} {
		s, _ := serve(t, answer)
		if km, err := s.Km(t.Context(), dayton, pittsburgh); err == nil || strings.Contains(err.Error(), "127.0.0.1:") && strings.Contains(err.Error(), "route") {
			t.Errorf("%s: %v km, %v", name, km, err)
		}
	}
}

// A service that stalls costs its patience, three times, and then nothing.
func TestAStallIsNotWaitedFor(t *testing.T) {
	stalled := make(chan struct{})
	s, calls := serve(t, func(_ http.ResponseWriter, r *http.Request) {
		select {
		case <-r.Context().Done():
		case <-stalled:
		}
	})
	defer close(stalled)
	s.client.Timeout = 20 * time.Millisecond // in place of Patience
	for range failuresToRest {
		if _, err := s.Km(t.Context(), dayton, pittsburgh); err == nil || errors.Is(err, ErrResting) {
			t.Errorf("a stall: %v", err)
		}
	}
	if _, err := s.Km(t.Context(), dayton, pittsburgh); !errors.Is(err, ErrResting) || calls.Load() != failuresToRest {
		t.Errorf("after %d calls: %v", calls.Load(), err)
	}
}

// A caller who gives up says nothing about the service.
func TestACallerWhoLeaves(t *testing.T) {
	s, _ := serve(t, says(`{"routes":[{"distance":416012}]}`))
	gone, leave := context.WithCancel(t.Context())
	leave()
	for range 2 * failuresToRest {
		if _, err := s.Km(gone, dayton, pittsburgh); err == nil {
			t.Error("answered a caller who had left")
		}
	}
	if km, err := s.Km(t.Context(), dayton, pittsburgh); err != nil || km != 416.012 {
		t.Errorf("%v km, %v", km, err)
	}
}

func TestRest(t *testing.T) {
	now := time.Now()
	var r rest
	fail := errors.New("failed")
	for range failuresToRest - 1 {
		r.note(fail, now)
	}
	r.note(errNoRoute, now) // is an answer
	for range failuresToRest - 1 {
		r.note(fail, now)
	}
	if !r.may(now) {
		t.Error("rests too soon")
	}
	if r.note(fail, now); r.may(now) || r.may(now.Add(restFor-1)) || !r.may(now.Add(restFor)) {
		t.Error("does not rest for as long as it should")
	}
	later := now.Add(restFor)
	if r.note(fail, later); r.may(later) {
		t.Error("one more failure does not begin the next rest")
	}
	if r.note(nil, later); !r.may(later) {
		t.Error("rests after an answer")
	}
}

func TestNewRefuses(t *testing.T) {
	for template, says := range map[string]string{
		"":                            "{fromLat}",
		"https://routes.example.org/": "{fromLat}",
		"https://routes.example.org/{fromLat},{fromLng};{toLat}":        "{toLng}",
		"ftp://routes.example.org/{fromLat},{fromLng};{toLat},{toLng}":  "https://",
		"https:///{fromLat},{fromLng};{toLat},{toLng}":                  "has a host",
		"routes/{fromLat},{fromLng};{toLat},{toLng}":                    "https://",
		"https://[::1/{fromLat},{fromLng};{toLat},{toLng}?key=very-own": "https://",
	} {
		if _, err := New(template); err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "very-own") {
			t.Errorf("%s: %v, want %s", template, err, says)
		}
	}
}

// Whatever a service answers, what is taken from it may be.
func TestWhatIsReadMayBe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		straight := rapid.Float64Range(0, 20_000).Draw(t, "straight")
		body := fmt.Sprintf(`{"routes":[{"distance":%v}]}`, rapid.Float64().Draw(t, "metres"))
		metres, err := read(strings.NewReader(body), straight)
		if err == nil && (math.IsNaN(metres) || metres/1000 < 0.98*straight-1 || metres/1000 > 20*straight+100) {
			t.Fatalf("%v m were read for %v km", metres, straight)
		}
	})
}

func FuzzRead(f *testing.F) {
	f.Add(`{"code":"Ok","routes":[{"distance":416012.3}]}`)
	f.Add(`{"code":"NoRoute"}`)
	f.Add(`[]`)
	f.Fuzz(func(t *testing.T, body string) {
		if metres, err := read(strings.NewReader(body), 300); err == nil && !(metres >= 290_000 && metres <= 6_100_000) {
			t.Errorf("%q: %v m", body, metres)
		}
	})
}
