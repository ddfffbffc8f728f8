package deliver

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"
	"time"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store/sqlite"
)

// What it costs to plan the e-mail of a flood.
func BenchmarkPlan(b *testing.B) {
	s := settings{digest: pb.Digest_DIGEST_DAILY, zone: zone(b, "America/Detroit"), quiet: quiet{22 * 60, 7 * 60}, mostADay: 10, gather: usualGather}
	made := at("2026-06-03T14:00:00Z")
	for _, n := range []int{1, 500, 10_000} {
		var waiting []pending
		for i := range n {
			waiting = append(waiting, pending{name: fmt.Sprint(i), made: made, fit: float64(i % 100)})
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				planEmail(made.Add(24*time.Hour), s, waiting, nil)
			}
		})
	}
}

// How many webhooks a second go from the alert to the record that it was sent, on
// a store on disk and to a receiver on this machine.
func BenchmarkWebhooks(b *testing.B) {
	s, err := sqlite.Open(filepath.Join(b.TempDir(), "registry.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	receiver := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { io.Copy(io.Discard, r.Body) }))
	defer receiver.Close()
	c := &clock{at: time.Now()}
	r := &rig{store: s, clock: c, Deliverer: New(s, Config{Rules: Rules{Private: true}, Now: c.now}, slog.New(slog.DiscardHandler))}
	if err := r.load(b.Context()); err != nil {
		b.Fatal(err)
	}
	r.put(b, &pb.Delivery{WebhookUrl: receiver.URL, WebhookSecret: secret})
	n := 0
	for b.Loop() {
		for range 100 {
			r.alert(b, anAlert(n))
			n++
		}
		r.finishAll(b)
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "webhooks/s")
}
