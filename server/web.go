package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"heirpress/server/deliver"
)

const (
	webTime    = 10 * time.Second // for a page, from the first byte asked to the last answered
	webHeaders = 16 << 10         // bytes
	webGrace   = 2 * time.Second
)

func checkWeb(address string) error {
	if address == "" {
		return nil
	}
	if _, _, err := net.SplitHostPort(address); err != nil {
		return fmt.Errorf("%q is not an address for the web pages: write it as :8080 or 127.0.0.1:8080", address)
	}
	return nil
}

// serveWeb serves the pages, if there are to be any, until the function that it
// returns is called.
func (r *Registry) serveWeb(c ServeConfig) (end func(), err error) {
	if c.Web == "" {
		return func() {}, nil
	}
	if err := checkWeb(c.Web); err != nil {
		return nil, err
	}
	handler, endPages, err := r.webPages(c)
	if err != nil {
		return nil, err
	}
	listener, err := net.Listen("tcp", c.Web)
	if err != nil {
		endPages()
		return nil, fmt.Errorf("cannot listen on %s: %w", c.Web, err)
	}
	s := &http.Server{
		Handler: handler, ReadTimeout: webTime, WriteTimeout: webTime, IdleTimeout: webTime,
		MaxHeaderBytes: webHeaders, ErrorLog: slog.NewLogLogger(r.log.Handler(), slog.LevelDebug),
	}
	go r.web(s, listener, c)
	if c.WebReady != nil {
		c.WebReady(listener.Addr())
	}
	return func() {
		ctx, cancel := context.WithTimeout(context.Background(), webGrace)
		defer cancel()
		defer endPages()
		if s.Shutdown(ctx) != nil {
			s.Close() //nolint:errcheck // there is nothing more to do about it
		}
	}, nil
}

// Pages are the pages that letters lead to: to turn e-mail off, to confirm an address,
// and to read a proof.
func (r *Registry) Pages() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("/", http.MaxBytesHandler(deliver.Web(r.store, r.log), 4<<10))
	mux.Handle(proofPath, r.proofPages())
	return mux
}

func (r *Registry) web(s *http.Server, on net.Listener, c ServeConfig) {
	serve := func() error { return s.Serve(on) }
	if c.CertFile != "" {
		serve = func() error { return s.ServeTLS(on, c.CertFile, c.KeyFile) }
	}
	if err := serve(); !errors.Is(err, http.ErrServerClosed) {
		r.log.Error("web: the pages are gone", "error", err)
	}
}
