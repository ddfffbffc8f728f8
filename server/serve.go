package server

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/reflection"

	"heirpress/server/access"
)

// ServeConfig says how a registry is served. Its zero value is refused only
// for its want of an address.
type ServeConfig struct {
	// Listen is the address, "127.0.0.1:7427".
	Listen string
	// CertFile and KeyFile are the TLS certificate and its key, in PEM. Both or
	// neither.
	CertFile, KeyFile string
	// ClientCAFile is a PEM file of authorities. If it is given, nobody connects
	// without a certificate that one of them has signed. It needs TLS.
	ClientCAFile string
	// Plaintext allows to listen beyond this machine without TLS, where no tokens
	// would be shown in the clear.
	Plaintext bool
	// Grace is how long calls under way may take after a stop; 0 means 10 s.
	Grace time.Duration
	// Options are given to the gRPC server besides its own.
	Options []grpc.ServerOption
	// Ready is called with the address once the registry answers there.
	Ready func(net.Addr)
	// Web is the address of the pages for people without the program: to turn e-mail
	// off, to read and pass a proof, and more with Pages. Empty: there are none. It has TLS if the
	// registry has.
	Web string
	// Pages has the whole registry served there as pages.
	Pages bool
	// PublicURL is the address under which Web is reached from outside, as
	// "https://example.org". Empty: whatever was asked for.
	PublicURL string
	// WebReady is called with the address once the pages are there.
	WebReady func(net.Addr)
}

const usualGrace = 10 * time.Second

// Check tells what is wrong with a config of a registry with or without accounts,
// before anything is opened for it.
func (c ServeConfig) Check(a Accounts) error {
	if _, err := transport(c); err != nil {
		return err
	}
	if err := checkWeb(c.Web); err != nil {
		return err
	}
	if err := checkPages(c, a); err != nil {
		return err
	}
	return mayListen(c, a)
}

// Serve answers calls until ctx is done, and then stops in order: health says
// no, streams end with the word to come back, calls under way have the grace to
// end, and the rest is cut off.
func Serve(ctx context.Context, r *Registry, c ServeConfig) error {
	options, err := transport(c)
	if err != nil {
		return err
	}
	if err := errors.Join(checkPages(c, r.config.Accounts), mayListen(c, r.config.Accounts)); err != nil {
		return err
	}
	if err := r.accountsKept(ctx); err != nil {
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
	go func() { ended <- s.Serve(newFewEach(listener)) }()
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
		if c.ClientCAFile != "" {
			return nil, errors.New("certificates of clients need TLS: give --tls-cert and --tls-key with --tls-client-ca")
		}
		return nil, nil
	}
	if c.CertFile == "" || c.KeyFile == "" {
		return nil, errors.New("TLS needs both a certificate and its key: give --tls-cert and --tls-key")
	}
	pair, err := tls.LoadX509KeyPair(c.CertFile, c.KeyFile)
	if err != nil {
		return nil, fmt.Errorf("the TLS certificate cannot be used: %w", err)
	}
	config := &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS13}
	if err := askClients(config, c.ClientCAFile); err != nil {
		return nil, err
	}
	return []grpc.ServerOption{grpc.Creds(credentials.NewTLS(config))}, nil
}

// askClients has clients show a certificate, if there are authorities for them.
func askClients(config *tls.Config, file string) error {
	if file == "" {
		return nil
	}
	pem, err := os.ReadFile(file)
	if err != nil {
		return fmt.Errorf("the authorities of clients cannot be read: %w", err)
	}
	config.ClientCAs, config.ClientAuth = x509.NewCertPool(), tls.RequireAndVerifyClientCert
	if !config.ClientCAs.AppendCertsFromPEM(pem) {
		return fmt.Errorf("%s holds no certificate in PEM form", file)
	}
	return nil
}

// mayListen refuses what would hand the registry, or tokens, to strangers: an
// address beyond this machine in the clear unless told so, and any address beyond
// this machine without accounts, or with accounts in the clear.
func mayListen(c ServeConfig, a Accounts) error {
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
	if a == NoAccounts {
		return fmt.Errorf("%s can be reached from other machines, and this heirpressd has no accounts to tell friend from stranger: listen on 127.0.0.1 or [::1]", c.Listen)
	}
	if c.CertFile == "" {
		return fmt.Errorf("%s can be reached from other machines, and tokens would go there in the clear: give --tls-cert and --tls-key", c.Listen)
	}
	return nil
}

// accountsKept refuses to serve a registry that has accounts as if it had none: its
// drafts, wanted lists and addresses would be open to whoever can reach it.
func (r *Registry) accountsKept(ctx context.Context) error {
	if r.config.Accounts != NoAccounts {
		return nil
	}
	some, err := access.Any(ctx, r.store)
	if err == nil && some {
		return errors.New("this registry has accounts, and would be open to whoever can reach it: say --accounts invited or --accounts open")
	}
	if ctx.Err() != nil { // told to stop already, and that is no fault
		return nil
	}
	return err
}

func isLoopback(host string) bool {
	if host == "localhost" {
		return true
	}
	ip, err := netip.ParseAddr(host)
	return err == nil && ip.IsLoopback()
}
