package server

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/reflection"
)

// ServeConfig says how a registry is served. Its zero value is refused only
// for its want of an address.
type ServeConfig struct {
	// Listen is the address, "127.0.0.1:7427".
	Listen string
	// CertFile and KeyFile are the TLS certificate and its key, in PEM. Both or
	// neither.
	CertFile, KeyFile string
	// Plaintext allows to listen beyond this machine without TLS.
	Plaintext bool
	// Grace is how long calls under way may take after a stop; 0 means 10 s.
	Grace time.Duration
	// Options are given to the gRPC server besides its own.
	Options []grpc.ServerOption
	// Ready is called with the address once the registry answers there.
	Ready func(net.Addr)
	// Web is the address of the pages for people without the program, of which
	// there is one: to turn e-mail off. Empty: there are none. It has TLS if the
	// registry has.
	Web string
	// WebReady is called with the address once the pages are there.
	WebReady func(net.Addr)
}

const usualGrace = 10 * time.Second

// Check tells what is wrong with a config, before anything is opened for it.
func (c ServeConfig) Check() error {
	if _, err := transport(c); err != nil {
		return err
	}
	if err := checkWeb(c.Web); err != nil {
		return err
	}
	return mayListen(c)
}

// Serve answers calls until ctx is done, and then stops in order: health says
// no, streams end with the word to come back, calls under way have the grace to
// end, and the rest is cut off.
func Serve(ctx context.Context, r *Registry, c ServeConfig) error {
	options, err := transport(c)
	if err != nil {
		return err
	}
	if err := mayListen(c); err != nil {
		return err
	}
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w", c.Listen, err)
	}
	endWeb, err := r.serveWeb(c)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	defer endWeb()
	s := NewGRPC(r, append(options, c.Options...)...)
	h := health.NewServer()
	healthpb.RegisterHealthServer(s, h)
	r.tellHealth(ctx, h)
	reflection.Register(s)
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(listener) }()
	if c.Ready != nil {
		c.Ready(listener.Addr())
	}
	r.log.Info("serving", "address", listener.Addr().String(), "tls", c.CertFile != "")
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	h.Shutdown()
	r.StopStreams()
	stop(s, max(c.Grace, 0), r.log)
	if err := <-ended; !errors.Is(err, grpc.ErrServerStopped) { // told to stop before it had begun
		return err
	}
	return nil
}

// stop lets calls under way end, for as long as the grace lasts.
func stop(s *grpc.Server, grace time.Duration, log *slog.Logger) {
	if grace == 0 {
		grace = usualGrace
	}
	cut := time.AfterFunc(grace, func() {
		log.Warn("calls still under way are cut off", "grace", grace)
		s.Stop()
	})
	defer cut.Stop()
	s.GracefulStop()
}

// transport is TLS, if there is a certificate.
func transport(c ServeConfig) ([]grpc.ServerOption, error) {
	if c.CertFile == "" && c.KeyFile == "" {
		return nil, nil
	}
	if c.CertFile == "" || c.KeyFile == "" {
		return nil, errors.New("TLS needs both a certificate and its key: give --tls-cert and --tls-key")
	}
	pair, err := tls.LoadX509KeyPair(c.CertFile, c.KeyFile)
	if err != nil {
		return nil, fmt.Errorf("the TLS certificate cannot be used: %w", err)
	}
	return []grpc.ServerOption{grpc.Creds(credentials.NewTLS(&tls.Config{
		Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS13,
	}))}, nil
}

// mayListen refuses what would hand the registry to strangers: an address
// beyond this machine in the clear unless told so, and, for want of accounts,
// any address beyond this machine at all.
func mayListen(c ServeConfig) error {
	host, _, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return fmt.Errorf("%q is not an address to listen on: write it as 127.0.0.1:7427", c.Listen)
	}
	if isLoopback(host) {
		return nil
	}
	if c.CertFile == "" && !c.Plaintext {
		return fmt.Errorf("%s can be reached from other machines, and there is no TLS certificate: give --tls-cert and --tls-key, or say --plaintext", c.Listen)
	}
	return fmt.Errorf("%s can be reached from other machines, and this heirpressd has no accounts to tell friend from stranger: listen on 127.0.0.1 or [::1]", c.Listen)
}

func isLoopback(host string) bool {
	if host == "localhost" {
		return true
	}
	ip, err := netip.ParseAddr(host)
	return err == nil && ip.IsLoopback()
}
