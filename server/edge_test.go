package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/server/store"
)

func TestEveryErrorIsToldAsAProblem(t *testing.T) {
	for _, c := range []struct {
		err  error
		code codes.Code
	}{
		{notFound("shop", "shops/a"), codes.NotFound},
		{fmt.Errorf("around: %w", notFound("shop", "shops/a")), codes.NotFound},
		{context.DeadlineExceeded, codes.DeadlineExceeded},
		{fmt.Errorf("around: %w", context.Canceled), codes.Canceled},
		{fmt.Errorf("around: %w", search.ErrDamaged), codes.Unavailable},
		{fmt.Errorf("around: %w at /srv/secret", search.ErrUnwritten), codes.Unavailable},
		{fmt.Errorf("around: %w", &store.UnavailableError{Place: "postgres://secret/d", Reason: "refused by secret"}), codes.Unavailable},
		{&store.UnavailableError{Place: "postgres://secret/d", Unknown: true}, codes.Unavailable},
		{status.Error(codes.Unimplemented, "no such method"), codes.Unimplemented},
		{errors.New("disk I/O error at /srv/secret"), codes.Internal},
	} {
		told := tell(c.err)
		if status.Code(told) != c.code || strings.Contains(told.Error(), "secret") {
			t.Errorf("%v is told as %v, want %v", c.err, told, c.code)
		}
	}
}

func TestAPanicIsAFaultOfOurs(t *testing.T) {
	var log strings.Builder
	e := edge{log: slog.New(slog.NewTextHandler(&log, nil)), observer: unobserved{}}
	_, err := e.unary(t.Context(), nil, &grpc.UnaryServerInfo{FullMethod: "/a/B"}, func(context.Context, any) (any, error) {
		panic("type all over the floor")
	})
	if status.Code(err) != codes.Internal || strings.Contains(err.Error(), "floor") {
		t.Errorf("told %v", err)
	}
	if !strings.Contains(log.String(), "floor") {
		t.Errorf("logged %q", log.String())
	}
}

// A token is good for its request and its position, and nothing else is.
func TestTokensCannotBeMade(t *testing.T) {
	s, other := sealer{key: []byte("one")}, sealer{key: []byte("two")}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Uint64().Draw(t, "n")
		asked := &pb.ListShopsRequest{Title: rapid.String().Draw(t, "title")}
		token := s.sealNumber(asked, n)
		if got, ok := s.openNumber(asked, token); !ok || got != n {
			t.Fatalf("%q opens as %d, %v", token, got, ok)
		}
		if _, ok := other.openNumber(asked, token); ok {
			t.Fatal("a token of another registry is taken")
		}
		if _, ok := s.openNumber(&pb.ListShopsRequest{Title: asked.Title + "x"}, token); ok {
			t.Fatal("a token of another request is taken")
		}
		if _, ok := s.openNumber(&pb.ListWantedListsRequest{Title: asked.Title}, token); ok {
			t.Fatal("a token of another method is taken")
		}
		at := rapid.IntRange(0, len(token)-1).Draw(t, "at")
		spoilt := token[:at] + rapid.StringMatching(`[A-Za-z0-9_-]`).Draw(t, "letter") + token[at+1:]
		if got, ok := s.openNumber(asked, spoilt); ok && got != n {
			t.Fatalf("%q, spoilt from %q, opens as %d", spoilt, token, got)
		}
	})
}

func FuzzOpenToken(f *testing.F) {
	s := sealer{key: []byte("one")}
	asked := &pb.ListShopsRequest{}
	f.Add(s.sealNumber(asked, 7))
	f.Add("")
	f.Add("AAAA")
	f.Fuzz(func(t *testing.T, token string) {
		n, ok := s.openNumber(asked, token)
		if ok && token != "" && s.sealNumber(asked, n) != token && token != s.seal(asked, nil) {
			// The only other genuine token for a number would be a longer way to
			// write the same number, which a MAC over the bytes rules out.
			t.Fatalf("%q is taken for %d", token, n)
		}
	})
}

func TestAnIDWithoutATitle(t *testing.T) {
	if id := newID("活字"); len(id) != 10 {
		t.Errorf("an ID without a title: %q", id)
	}
}

// A mask changes what it names and nothing else, whatever the two messages are.
func TestAMaskChangesOnlyWhatItNames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawShop(t, "a"), drawShop(t, "b")
		fields := rapid.SliceOfNDistinct(rapid.SampledFrom(shopFields), 1, 4, rapid.ID).Draw(t, "fields")
		got := proto.CloneOf(a)
		if err := change(got, b, maskOf(fields...), shopFields); err != nil {
			t.Fatal(err)
		}
		for _, name := range shopFields {
			from := a
			if containsField(fields, name) {
				from = b
			}
			if !sameField(got, from, name) {
				t.Fatalf("%s after changing %v: %v", name, fields, got)
			}
		}
	})
}
