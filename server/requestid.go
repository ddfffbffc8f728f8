package server

import (
	"context"
	"crypto/rand"
	"log/slog"
	"regexp"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
)

// RequestIDHeader is the metadata in which a caller may name a call, and in
// which every answer tells what it is named: in the log, in errors' RequestInfo.
const RequestIDHeader = "x-request-id"

type requestIDKey struct{}

// RequestID is the name of the call that a context belongs to; empty for none.
func RequestID(ctx context.Context) string {
	id, _ := ctx.Value(requestIDKey{}).(string)
	return id
}

// goodRequestID is what a caller may choose: it goes into logs.
var goodRequestID = regexp.MustCompile(`^[A-Za-z0-9._:/+=-]{1,64}$`)

// named gives a call its name: the caller's, if that is fit to be logged.
func named(ctx context.Context) (context.Context, string) {
	id := ""
	if asked := metadata.ValueFromIncomingContext(ctx, RequestIDHeader); len(asked) == 1 && goodRequestID.MatchString(asked[0]) {
		id = asked[0]
	} else {
		id = rand.Text()[:16]
	}
	return context.WithValue(ctx, requestIDKey{}, id), id
}

func requestIDHeader(id string) metadata.MD { return metadata.Pairs(RequestIDHeader, id) }

// withRequestID adds the call's name to an error's details.
func withRequestID(err error, id string) error {
	st, ok := status.FromError(err)
	if !ok || id == "" {
		return err
	}
	with, bad := st.WithDetails(&errdetails.RequestInfo{RequestId: id})
	if bad != nil { // only for OK
		return err
	}
	return with.Err()
}

// namedStream is a stream whose context has the call's name.
type namedStream struct {
	grpc.ServerStream
	ctx context.Context
}

// Context is grpc.ServerStream's.
func (s namedStream) Context() context.Context { return s.ctx }

// LogRequests has a handler add the name of the call to every line that is
// logged for one.
func LogRequests(h slog.Handler) slog.Handler { return requestHandler{h} }

type requestHandler struct{ slog.Handler }

// Handle is slog.Handler's.
func (h requestHandler) Handle(ctx context.Context, r slog.Record) error {
	if id := RequestID(ctx); id != "" {
		r = r.Clone()
		r.AddAttrs(slog.String("request", id))
	}
	return h.Handler.Handle(ctx, r)
}

// WithAttrs is slog.Handler's.
func (h requestHandler) WithAttrs(attrs []slog.Attr) slog.Handler {
	return requestHandler{h.Handler.WithAttrs(attrs)}
}

// WithGroup is slog.Handler's.
func (h requestHandler) WithGroup(name string) slog.Handler {
	return requestHandler{h.Handler.WithGroup(name)}
}
