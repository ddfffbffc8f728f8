// Package client connects to a registry, embedded or remote, and does with it
// what the command line offers: post a sheet, score a wanted list, follow
// alerts.
//
// Both ways lead through the same contract: an embedded registry is the server
// itself, in this process, behind a connection in memory.
package client

import (
	"cmp"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"slices"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/test/bufconn"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// Options say which registry to connect to. The zero value is the embedded one
// in the user's data folder.
type Options struct {
	// Server is the host:port of a registry, or several with commas between, that
	// share one; empty for the embedded one.
	Server string
	// Dir is the embedded registry's data folder; empty for DataDir.
	Dir string
	// CAFile is a PEM file of the authorities to trust; empty for the system's.
	// It asks for TLS, also to this machine.
	CAFile string
	// CertFile and KeyFile are a certificate of one's own and its key, in PEM, for a
	// server that wants one. Both or neither; they ask for TLS.
	CertFile, KeyFile string
	// Plaintext speaks to a server beyond this machine without TLS, and without a
	// token.
	Plaintext bool
	// TokenFile is the file of the token to show to a server; empty for the one that
	// was kept for it in the data folder, if there is one.
	TokenFile string
	// Token is the token itself, before any file.
	Token string
	// Wait is how long to wait for another process to let go of the embedded
	// registry; 0 means 10 s.
	Wait time.Duration
	// Log takes what the embedded registry logs. Nil: nothing is logged.
	Log *slog.Logger
}

// Client is a connection to a registry.
type Client struct {
	// Shops, Lots, Search, Wants, Alerts, Deliveries, Interest, Photos, Roads, Accounts,
	// Private, Introductions, History and Proofs are the contract's services.
	Shops         pb.ShopServiceClient
	Lots          pb.LotServiceClient
	Search        pb.SearchServiceClient
	Wants         pb.WantServiceClient
	Alerts        pb.AlertServiceClient
	Deliveries    pb.DeliveryServiceClient
	Interest      pb.InterestServiceClient
	Photos        pb.PhotoServiceClient
	Roads         pb.RoadServiceClient
	Accounts      pb.AccountServiceClient
	Private       pb.PrivatePlaceServiceClient
	Introductions pb.IntroductionServiceClient
	History       pb.HistoryServiceClient
	Proofs        pb.ProofServiceClient

	close func() error
}

const (
	callTime  = time.Minute // for a call whose context has no deadline
	usualWait = 10 * time.Second
)

// Connect connects to the registry that the options name. An embedded registry
// that another process has open is waited for, and is then a *server.BusyError.
func Connect(ctx context.Context, o Options) (*Client, error) {
	if o.Server != "" {
		return remote(o)
	}
	return embedded(ctx, o)
}

// Close ends the connection, and an embedded registry with it.
func (c *Client) Close() error { return c.close() }

// AddressError says that a text is not a server's address.
type AddressError struct {
	// Address is the text.
	Address string
}

// Error says what would be right.
func (e *AddressError) Error() string {
	return fmt.Sprintf("%q is not a server's address: write it as host:port, as registry.example.org:7427, or several with commas between", e.Address)
}

func remote(o Options) (*Client, error) {
	all, err := addresses(o.Server)
	if err != nil {
		return nil, err
	}
	creds, err := transport(o, all)
	if err != nil {
		return nil, err
	}
	with, err := showing(o, all)
	if err != nil {
		return nil, err
	}
	target, with := all[0], append(with, grpc.WithTransportCredentials(creds))
	if len(all) > 1 {
		target, with = severalTarget, append(with, toSeveral(all)...)
	}
	conn, err := dial(target, with...)
	if err != nil {
		return nil, &AddressError{Address: o.Server}
	}
	return over(conn, conn.Close), nil
}

func embedded(ctx context.Context, o Options) (*Client, error) {
	dir, err := folder(o.Dir)
	if err != nil {
		return nil, err
	}
	opening, cancel := context.WithTimeout(ctx, cmp.Or(o.Wait, usualWait))
	defer cancel()
	r, err := server.Open(opening, server.Config{Dir: dir, Log: o.Log, AlwaysFresh: true})
	if err != nil {
		return nil, err
	}
	pipe := bufconn.Listen(1 << 20)
	s := server.NewGRPC(r)
	go s.Serve(pipe) //nolint:errcheck // ends with Stop
	shut := func() error {
		s.Stop()
		return r.Close()
	}
	conn, err := dial("passthrough:///embedded",
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return pipe.DialContext(ctx) }))
	if err != nil {
		return nil, errors.Join(err, shut())
	}
	return over(conn, func() error { return errors.Join(conn.Close(), shut()) }), nil
}

func over(conn *grpc.ClientConn, shut func() error) *Client {
	return &Client{
		Shops:         pb.NewShopServiceClient(conn),
		Lots:          pb.NewLotServiceClient(conn),
		Search:        pb.NewSearchServiceClient(conn),
		Wants:         pb.NewWantServiceClient(conn),
		Alerts:        pb.NewAlertServiceClient(conn),
		Deliveries:    pb.NewDeliveryServiceClient(conn),
		Interest:      pb.NewInterestServiceClient(conn),
		Photos:        pb.NewPhotoServiceClient(conn),
		Roads:         pb.NewRoadServiceClient(conn),
		Accounts:      pb.NewAccountServiceClient(conn),
		Private:       pb.NewPrivatePlaceServiceClient(conn),
		Introductions: pb.NewIntroductionServiceClient(conn),
		History:       pb.NewHistoryServiceClient(conn),
		Proofs:        pb.NewProofServiceClient(conn),
		close:         shut,
	}
}

const largestAnswer = 64 << 20 // bytes: a page of 1,000 lots with long stories

// silence is how long a server may say nothing while it is waited for, before it is
// asked whether it is there: one that is cut off from the network does not hang up.
const silence = 20 * time.Second

func dial(target string, with ...grpc.DialOption) (*grpc.ClientConn, error) {
	with = append([]grpc.DialOption{grpc.WithDefaultServiceConfig(serviceConfig(false))}, with...)
	with = append(with,
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(largestAnswer)),
		grpc.WithChainUnaryInterceptor(inTime, patiently),
		grpc.WithKeepaliveParams(keepalive.ClientParameters{Time: silence, Timeout: silence / 2}),
	)
	return grpc.NewClient(target, with...)
}

// inTime gives a call without a deadline one.
func inTime(ctx context.Context, method string, req, answer any, conn *grpc.ClientConn, call grpc.UnaryInvoker, with ...grpc.CallOption) error {
	if _, has := ctx.Deadline(); !has {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, callTime)
		defer cancel()
	}
	return call(ctx, method, req, answer, conn, with...)
}

// transport is TLS, except to this machine, where there may be none.
func transport(o Options, to []string) (credentials.TransportCredentials, error) {
	if (o.CAFile != "" || o.CertFile != "") && o.Plaintext {
		return nil, errors.New("plaintext and an authority to trust cannot both be meant: give one of the two")
	}
	if o.CAFile == "" && o.CertFile == "" && o.KeyFile == "" && (o.Plaintext || !slices.ContainsFunc(to, isElsewhere)) {
		return insecure.NewCredentials(), nil
	}
	c := &tls.Config{MinVersion: tls.VersionTLS13}
	if o.CAFile != "" {
		pem, err := os.ReadFile(o.CAFile)
		if err != nil {
			return nil, fmt.Errorf("the authorities to trust cannot be read: %w", err)
		}
		c.RootCAs = x509.NewCertPool()
		if !c.RootCAs.AppendCertsFromPEM(pem) {
			return nil, fmt.Errorf("%s holds no certificate in PEM form", o.CAFile)
		}
	}
	if o.CertFile != "" || o.KeyFile != "" {
		pair, err := tls.LoadX509KeyPair(o.CertFile, o.KeyFile)
		if err != nil {
			return nil, fmt.Errorf("your own certificate cannot be used: %w", err)
		}
		c.Certificates = []tls.Certificate{pair}
	}
	return credentials.NewTLS(c), nil
}

// isElsewhere tells whether an address is not of this machine.
func isElsewhere(address string) bool {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return true
	}
	ip, err := netip.ParseAddr(host)
	return host != "localhost" && (err != nil || !ip.IsLoopback())
}
