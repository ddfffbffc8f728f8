package telemetry

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"
)

const (
	httpTime  = 10 * time.Second // for a page, and for a connection that says nothing
	httpGrace = time.Second
)

// Handler has the pages for an operator's tools: /metrics, /livez, which answers
// 200 while the process does, and /readyz, which answers 503 until the index has
// caught up with the journal and whenever it is being built anew.
func (m *Metrics) Handler(r Stateful) http.Handler {
	pages := http.NewServeMux()
	pages.Handle("GET /metrics", promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{}))
	pages.HandleFunc("GET /livez", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "alive") })
	pages.HandleFunc("GET /readyz", func(w http.ResponseWriter, _ *http.Request) {
		if !r.Ready() {
			http.Error(w, "not ready: the index has not caught up with the journal", http.StatusServiceUnavailable)
			return
		}
		fmt.Fprintln(w, "ready")
	})
	return pages
}

// Serve serves those pages on an address until ctx is done. It returns once they
// can be had, with the address.
func (m *Metrics) Serve(ctx context.Context, address string, r Stateful, log *slog.Logger) (net.Addr, error) {
	listener, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("cannot listen for --metrics-listen on %s: %w", address, err)
	}
	s := &http.Server{
		Handler: m.Handler(r), ReadTimeout: httpTime, WriteTimeout: httpTime, IdleTimeout: time.Minute,
		ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelDebug),
	}
	go func() {
		if err := s.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
			log.Error("metrics: the pages are gone", "error", err)
		}
	}()
	context.AfterFunc(ctx, func() {
		ctx, cancel := context.WithTimeout(context.Background(), httpGrace)
		defer cancel()
		if s.Shutdown(ctx) != nil {
			s.Close() //nolint:errcheck // there is nothing more to do about it
		}
	})
	return listener.Addr(), nil
}
