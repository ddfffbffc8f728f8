package server

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"

	"google.golang.org/protobuf/proto"

	"heirpress/server/access"
)

const sealSize = 16

// tokenText is how tokens are written: strictly, so that a token has one spelling.
var tokenText = base64.RawURLEncoding.Strict()

// A sealer makes tokens that only this registry can have made, for the request
// they were made for: page tokens and resume tokens. A token is the position,
// behind a MAC of it and of what was asked.
type sealer struct {
	key []byte
	// caller is the account that they are made for, and good for; empty where there
	// are no accounts, and for a caller without one.
	caller string
}

// tokensOf makes and opens the tokens of the caller of ctx.
func (r *Registry) tokensOf(ctx context.Context) sealer {
	return sealer{key: r.tokens.key, caller: access.From(ctx).Account}
}

func (s sealer) seal(asked proto.Message, position []byte) string {
	return tokenText.EncodeToString(append(s.mac(asked, position), position...))
}

// open returns the position in a token, and whether the token is genuine. No
// token is the position before the first.
func (s sealer) open(asked proto.Message, token string) ([]byte, bool) {
	if token == "" {
		return nil, true
	}
	raw, err := tokenText.DecodeString(token)
	if err != nil || len(raw) < sealSize {
		return nil, false
	}
	position := raw[sealSize:]
	return position, hmac.Equal(raw[:sealSize], s.mac(asked, position))
}

func (s sealer) mac(asked proto.Message, position []byte) []byte {
	h := hmac.New(sha256.New, s.key)
	if s.caller != "" {
		h.Write([]byte("\x00" + s.caller + "\x00")) // no message's name begins so
	}
	h.Write([]byte(asked.ProtoReflect().Descriptor().FullName()))
	h.Write(fingerprint(asked))
	h.Write(position)
	return h.Sum(nil)[:sealSize]
}

func (s sealer) sealNumber(asked proto.Message, n uint64) string {
	return s.seal(asked, binary.AppendUvarint(nil, n))
}

func (s sealer) openNumber(asked proto.Message, token string) (uint64, bool) {
	position, ok := s.open(asked, token)
	if !ok || len(position) == 0 {
		return 0, ok
	}
	n, size := binary.Uvarint(position)
	return n, size == len(position)
}

// fingerprint tells whether two requests ask the same.
func fingerprint(m proto.Message) []byte {
	wire, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
	if err != nil {
		panic(err) // only for invalid UTF-8, which gRPC refuses before us
	}
	sum := sha256.Sum256(wire)
	return sum[:]
}

const (
	defaultPage = 100
	largestPage = 1000
)

// pageSize is the number of rows to answer with for the number asked.
func pageSize(asked, usual int32) (int, error) {
	switch {
	case asked < 0:
		return 0, invalid("page_size", "is negative: leave it 0 for the usual size, or give 1 to 1000")
	case asked == 0:
		return int(usual), nil
	}
	return int(min(asked, largestPage)), nil
}
