package server

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"strings"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"

	"heirpress/server/access"
)

// Accounts says whether a registry tells its callers apart.
type Accounts string

// The ways to take people in.
const (
	// NoAccounts has none: whoever can reach the registry has everything in it.
	NoAccounts Accounts = ""
	// ByInvitation takes people whom the operator has invited.
	ByInvitation Accounts = "invited"
	// ByApproval takes also people whom the operator approves afterwards.
	ByApproval Accounts = "open"
)

const (
	contract = "/heirpress.v1."
	bearer   = "Bearer "
)

// known is ctx with who calls a method in it. It refuses a token that is not good,
// a method that has no row in the table of access, and what needs a token without
// one.
func (r *Registry) known(ctx context.Context, method string) (context.Context, error) {
	if !strings.HasPrefix(method, contract) { // health and reflection tell nothing of anybody
		return access.With(ctx, access.Caller{Local: r.config.Accounts == NoAccounts}), nil
	}
	rules := access.Table[method]
	if rules == nil {
		return nil, problem(codes.Unimplemented, ReasonNoAccess, "%s is not open to anybody", method)
	}
	if r.config.Accounts == NoAccounts {
		return access.With(ctx, access.Caller{Local: true}), nil
	}
	c, err := r.caller(ctx)
	if err != nil {
		return nil, err
	}
	if c.Anonymous() && rules.NeedsToken() {
		return nil, tokenNeeded()
	}
	if scope := rules.Scope(); scope != 0 && !c.MayUse(scope) {
		return nil, problem(codes.PermissionDenied, ReasonScope, "the token is not good for this: it would need the scope %s", scopeWord(scope))
	}
	return access.With(ctx, c), nil
}

// caller is who shows a token, or nobody without one.
func (r *Registry) caller(ctx context.Context) (access.Caller, error) {
	shown := metadata.ValueFromIncomingContext(ctx, "authorization")
	if len(shown) == 0 {
		return access.Caller{}, nil
	}
	if err := r.guesses.mayTry(addressOf(ctx)); err != nil {
		return access.Caller{}, err
	}
	text, is := strings.CutPrefix(shown[0], bearer)
	if !is || len(shown) > 1 {
		return access.Caller{}, r.refuse(ctx, &access.RefusedError{Guessed: true, Reason: "is not shown as Bearer and the token"})
	}
	c, err := access.Known(ctx, r.store, text, time.Now())
	var refused *access.RefusedError
	if errors.As(err, &refused) {
		return access.Caller{}, r.refuse(ctx, refused)
	}
	return c, err
}

// refuse counts a guess, and tells why a token lets nobody in.
func (r *Registry) refuse(ctx context.Context, why *access.RefusedError) error {
	if why.Guessed {
		r.guesses.failed(addressOf(ctx))
		r.log.Warn("audit: token refused", "address", addressOf(ctx).String())
	}
	return problem(codes.Unauthenticated, ReasonTokenRefused, "%s", why)
}

func tokenNeeded() error {
	return problem(codes.Unauthenticated, ReasonTokenNeeded, "this needs a token: sign in with heirpress login")
}

// addressOf is where a call comes from, as far as limits go: the whole of an IPv4
// address, and of an IPv6 address the 64 bits that one household has. A connection
// in memory has the zero address.
func addressOf(ctx context.Context) netip.Prefix {
	p, ok := peer.FromContext(ctx)
	if !ok {
		return netip.Prefix{}
	}
	tcp, ok := p.Addr.(*net.TCPAddr)
	if !ok {
		return netip.Prefix{}
	}
	return networkOf(tcp)
}

// networkOf is an address, or the network of a household.
func networkOf(tcp *net.TCPAddr) netip.Prefix {
	ip := tcp.AddrPort().Addr().Unmap()
	bits := 32
	if ip.Is6() {
		bits = 64
	}
	network, err := ip.Prefix(bits)
	if err != nil {
		return netip.Prefix{}
	}
	return network
}

func (r *Registry) knownUnary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	ctx, err := r.known(ctx, info.FullMethod)
	if err != nil {
		return nil, err
	}
	return next(ctx, req)
}

func (r *Registry) knownStream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	ctx, err := r.known(stream.Context(), info.FullMethod)
	if err != nil {
		return err
	}
	return next(srv, &knownCaller{ServerStream: stream, ctx: ctx})
}

// knownCaller is a stream whose context says who calls.
type knownCaller struct {
	grpc.ServerStream
	ctx context.Context
}

func (s *knownCaller) Context() context.Context { return s.ctx }

// stillKnown refuses a caller whose token has come to an end since: what takes long
// asks now and then.
func (r *Registry) stillKnown(ctx context.Context) error {
	c := access.From(ctx)
	if c.Token == "" {
		return nil
	}
	kept, err := access.TokenNamed(ctx, r.store, c.Token)
	if err != nil {
		return err
	}
	_, err = access.StillKnown(ctx, r.store, kept.GetToken(), time.Now())
	var refused *access.RefusedError
	if errors.As(err, &refused) {
		return r.refuse(ctx, refused)
	}
	return err
}
