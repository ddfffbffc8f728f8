package server

import (
	"context"
	"crypto/hkdf"
	"crypto/sha256"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/test/bufconn"

	"heirpress/server/deliver"
	"heirpress/server/pages"
)

// checkPages refuses pages that would hand the registry, or tokens, to strangers, for
// the reasons that mayListen has.
func checkPages(c ServeConfig, a Accounts) error {
	if !c.Pages {
		return nil
	}
	host, _, err := net.SplitHostPort(c.Web)
	if err != nil {
		return errors.New("--pages needs --web, the address of the pages, as 127.0.0.1:8080")
	}
	if c.ClientCAFile != "" {
		return errors.New("--pages lets browsers in without a certificate of their own, and --tls-client-ca nobody: leave out one of the two")
	}
	if err := checkPublic(c.PublicURL); err != nil || isLoopback(host) {
		return err
	}
	if a == NoAccounts {
		return fmt.Errorf("the pages at %s can be reached from other machines, and this heirpressd has no accounts to tell friend from stranger: say --web 127.0.0.1:8080, or --accounts invited", c.Web)
	}
	if c.CertFile == "" {
		return fmt.Errorf("the pages at %s can be reached from other machines, and people would sign in there in the clear: give --tls-cert and --tls-key", c.Web)
	}
	return nil
}

func checkPublic(address string) error {
	if address == "" {
		return nil
	}
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || u.Path != "" && u.Path != "/" || u.Scheme != "https" && (u.Scheme != "http" || !isLoopback(u.Hostname())) {
		return fmt.Errorf("--public-url is %q: with --pages write it as https://example.org, without a path", address)
	}
	return nil
}

// webPages are the pages that letters lead to and, where they are asked for, those
// for people who will never open a terminal; and what ends them.
func (r *Registry) webPages(c ServeConfig) (http.Handler, func(), error) {
	letters := r.Pages()
	if !c.Pages {
		return letters, func() {}, nil
	}
	conn, end, err := r.inMemory(c.Options)
	if err != nil {
		return nil, nil, err
	}
	key, err := hkdf.Key(sha256.New, r.tokens.key, nil, "heirpress pages: sessions", 32)
	if err != nil {
		end()
		return nil, nil, err
	}
	site, err := pages.New(pages.Config{
		Conn: conn, Accounts: r.config.Accounts != NoAccounts, TLS: c.CertFile != "", PublicURL: c.PublicURL, Key: key, Log: r.log,
	})
	if err != nil {
		end()
		return nil, nil, err
	}
	all := http.NewServeMux()
	for _, path := range []string{deliver.StopPath, deliver.ConfirmPath, proofPath} {
		all.Handle(path, letters) // These addresses are secrets, and mail programs send to them.
	}
	all.Handle("/", site)
	return all, end, nil
}

// inMemory is a connection to the registry's services within this process, behind the
// same edge and access rules as any other; and what ends it.
func (r *Registry) inMemory(options []grpc.ServerOption) (*grpc.ClientConn, func(), error) {
	pipe := bufconn.Listen(1 << 20)
	s := NewGRPC(r, append([]grpc.ServerOption{grpc.ChainUnaryInterceptor(fromPage)}, options...)...)
	go s.Serve(pipe) //nolint:errcheck // ends with Stop
	conn, err := grpc.NewClient("passthrough:///pages",
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(64<<20)),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return pipe.DialContext(ctx) }))
	if err != nil {
		s.Stop()
		return nil, nil, err
	}
	return conn, func() {
		_ = conn.Close()
		s.Stop()
	}, nil
}

// fromPage takes a page's word for where it was asked for, so that the limits of an
// address hold for its pages and its calls together. Only the pages can reach the
// server that has this.
func fromPage(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	said := metadata.ValueFromIncomingContext(ctx, pages.AddressKey)
	if len(said) == 1 {
		if ip, err := netip.ParseAddr(said[0]); err == nil {
			ctx = peer.NewContext(ctx, &peer.Peer{Addr: net.TCPAddrFromAddrPort(netip.AddrPortFrom(ip, 0))})
		}
	}
	return next(ctx, req)
}
