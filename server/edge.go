package server

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"runtime/debug"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"heirpress/search"
	"heirpress/server/store"
)

const (
	largestRequest = 16 << 20 // bytes
	longestCall    = time.Minute
)

// NewGRPC returns a gRPC server with the registry's services behind the edge:
// every call has a deadline and a caller, every fault becomes a status that tells nothing of
// the inside, and what an operator should know is logged.
func NewGRPC(r *Registry, with ...grpc.ServerOption) *grpc.Server {
	e := edge{log: r.log, observer: cmp.Or[Observer](r.config.Observer, unobserved{})}
	with = append(append(connections(), with...),
		grpc.MaxRecvMsgSize(largestRequest),
		grpc.ChainUnaryInterceptor(e.unary, r.knownUnary, r.spentUnary),
		grpc.ChainStreamInterceptor(e.stream, r.knownStream, r.spentStream),
	)
	s := grpc.NewServer(with...)
	r.Register(s)
	return s
}

type edge struct {
	log      *slog.Logger
	observer Observer
}

func (e edge) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (answer any, err error) {
	ctx, cancel := context.WithTimeout(ctx, longestCall)
	defer cancel()
	ctx, id := named(ctx)
	_ = grpc.SetHeader(ctx, requestIDHeader(id)) // of a call that nobody waits for any more it fails
	start := time.Now()
	defer func() {
		err = e.settle(ctx, info.FullMethod, start, recover(), err)
	}()
	return next(ctx, req)
}

func (e edge) stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) (err error) {
	ctx, id := named(stream.Context())
	_ = stream.SetHeader(requestIDHeader(id))
	start := time.Now()
	defer func() {
		err = e.settle(ctx, info.FullMethod, start, recover(), err)
	}()
	return next(srv, namedStream{stream, ctx})
}

// settle turns what a handler ended with into what the caller is told.
func (e edge) settle(ctx context.Context, method string, start time.Time, panicked any, err error) error {
	told := withRequestID(e.judge(ctx, method, start, panicked, err), RequestID(ctx))
	e.observer.Call(method, status.Code(told), time.Since(start))
	return told
}

// judge logs what a handler ended with, and returns what the caller is told.
func (e edge) judge(ctx context.Context, method string, start time.Time, panicked any, err error) error {
	if panicked != nil {
		e.log.ErrorContext(ctx, "call: panic", "method", method, "panic", panicked, "stack", string(debug.Stack()))
		return internal()
	}
	if err == nil {
		e.log.DebugContext(ctx, "call", "method", method, "took", time.Since(start))
		return nil
	}
	told := tell(err)
	level := slog.LevelDebug
	if album := new(albumError); status.Code(told) == codes.Internal || errors.As(err, &album) {
		level = slog.LevelError
	}
	e.log.Log(ctx, level, "call: failed", "method", method, "took", time.Since(start), "code", status.Code(told), "error", err)
	return told
}

// tell is the error that a caller is told for one of ours.
func tell(err error) error {
	var p *Problem
	var away *store.UnavailableError
	var album *albumError
	switch {
	case errors.As(err, &p):
		return p
	case errors.Is(err, context.DeadlineExceeded):
		return problem(codes.DeadlineExceeded, ReasonTooSlow, "the call took longer than it was given")
	case errors.Is(err, context.Canceled):
		return problem(codes.Canceled, ReasonCancelled, "the call was cancelled")
	case errors.Is(err, search.ErrDamaged):
		return tryAgain(ReasonNotReady, "the index is being rebuilt: try again shortly", time.Second)
	case errors.Is(err, search.ErrUnwritten):
		return tryAgain(ReasonNotReady, "the index cannot be written at present: try again shortly", time.Second)
	case errors.As(err, &away):
		return storeAway(away)
	case errors.As(err, &album):
		return tryAgain(ReasonPhotosAway, "the store that photos are kept in does not answer: try again shortly", time.Second)
	}
	if st, ok := status.FromError(err); ok {
		return st.Err()
	}
	return internal()
}

// storeAway tells of the store that it is away, and nothing of where it is.
func storeAway(e *store.UnavailableError) error {
	if e.Unknown {
		return tryAgain(ReasonUnknown, "the registry's database was lost during the write, and whether it was made is not known: repeat it with its request_id, or read before writing again", time.Second)
	}
	return tryAgain(ReasonStoreAway, "the registry's database does not answer: try again shortly", time.Second)
}

func internal() error {
	return problem(codes.Internal, ReasonInternal, "the registry has a fault of its own; its log says more")
}
