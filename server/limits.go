package server

import (
	"context"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"
	"google.golang.org/grpc"
	"google.golang.org/grpc/keepalive"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
)

// Limits is how much one caller may ask of a registry with accounts. A registry
// without has one owner, and no limits.
type Limits struct {
	// PerSecond is how many calls a second an account, or an address without a
	// token, may go on making; 0 means 50. A page, and a batch of lots, counts as
	// one more for each hundred that it may have.
	PerSecond float64
	// Burst is how many at once, after a pause; 0 means 500.
	Burst int
	// Streams is how many streams an account may have open; 0 means 20.
	Streams int
}

const (
	usualPerSecond = 50
	usualBurst     = 500
	usualStreams   = 20
)

func (l Limits) orUsual() Limits {
	if l.PerSecond == 0 {
		l.PerSecond = usualPerSecond
	}
	if l.Burst == 0 {
		l.Burst = usualBurst
	}
	if l.Streams == 0 {
		l.Streams = usualStreams
	}
	return l
}

// spent is what callers have made of their limits.
type spent struct {
	limits    Limits
	accounts  *bucketful[string]
	addresses *bucketful[netip.Prefix]

	mu      sync.Mutex
	streams map[string]int // open ones, by account
}

func newSpent(l Limits) *spent {
	l = l.orUsual()
	return &spent{
		limits: l, streams: map[string]int{},
		accounts:  newBucketful[string](rate.Limit(l.PerSecond), l.Burst),
		addresses: newBucketful[netip.Prefix](rate.Limit(l.PerSecond), l.Burst),
	}
}

// take takes what a call costs from its caller's bucket, or says when there will be
// enough in it.
func (s *spent) take(ctx context.Context, req any) error {
	c := access.From(ctx)
	if c.Local {
		return nil
	}
	at := time.Now()
	var one *rate.Limiter
	if c.Anonymous() {
		one = s.addresses.of(addressOf(ctx), at)
	} else {
		one = s.accounts.of(c.Account, at)
	}
	n := min(cost(req), s.limits.Burst)
	if one.AllowN(at, n) {
		return nil
	}
	return tooMany(ReasonTooManyCalls, "you are asking too much at once", wait(one, float64(n), at))
}

// costEach is how many rows cost as much as a call.
const costEach = 100

// cost is what a call takes from a bucket: who reads everything, page by page, pays
// for what they read.
func cost(req any) int {
	switch r := req.(type) {
	case *pb.BatchCreateLotsRequest:
		return 1 + len(r.GetLots())/costEach
	case interface{ GetPageSize() int32 }:
		return 1 + max(0, min(int(r.GetPageSize()), largestPage))/costEach
	}
	return 1
}

// enter counts a stream in, until the function that it returns is called.
func (s *spent) enter(ctx context.Context) (leave func(), err error) {
	c := access.From(ctx)
	if c.Local || c.Anonymous() {
		return func() {}, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.streams[c.Account] >= s.limits.Streams {
		return nil, tooMany(ReasonTooManyStreams, "your account has as many streams open as it may", time.Minute)
	}
	s.streams[c.Account]++
	return func() { s.left(c.Account) }, nil
}

func (s *spent) left(account string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.streams[account]--; s.streams[account] == 0 {
		delete(s.streams, account)
	}
}

func (r *Registry) spentUnary(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	if err := r.spent.take(ctx, req); err != nil {
		return nil, err
	}
	return next(ctx, req)
}

func (r *Registry) spentStream(srv any, stream grpc.ServerStream, _ *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	if err := r.spent.take(stream.Context(), nil); err != nil {
		return err
	}
	leave, err := r.spent.enter(stream.Context())
	if err != nil {
		return err
	}
	defer leave()
	return next(srv, stream)
}

// What a connection may do, whoever has it.
const (
	mostCalls      = 1000             // at once on one connection
	handshakeTime  = 20 * time.Second // from the first byte to a connection that can be used
	mostHeaders    = 16 << 10         // bytes of metadata with a call
	pingsApart     = 10 * time.Second // of a client that pings more often the connection is closed
	deadAfter      = 2 * time.Minute  // without a word, a client is pinged
	deadAnswer     = 20 * time.Second // and then has so long to answer
	connectionIdle = 30 * time.Minute // without a call, a connection is closed
)

// connections are the limits of connections, as options of gRPC.
func connections() []grpc.ServerOption {
	return []grpc.ServerOption{
		grpc.MaxConcurrentStreams(mostCalls), grpc.ConnectionTimeout(handshakeTime), grpc.MaxHeaderListSize(mostHeaders),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: pingsApart, PermitWithoutStream: true}),
		grpc.KeepaliveParams(keepalive.ServerParameters{MaxConnectionIdle: connectionIdle, Time: deadAfter, Timeout: deadAnswer}),
	}
}
