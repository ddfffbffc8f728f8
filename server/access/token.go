package access

import (
	"context"
	"errors"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

const (
	// UsualLife is how long a token is good of which nobody says how long.
	UsualLife = 365 * 24 * time.Hour
	// LongestLife is how long a token can be good.
	LongestLife = 10 * UsualLife
	// MostTokens is how many tokens one account may have made, revoked ones too.
	MostTokens = 1000
)

// A RefusedError says that a token lets nobody in.
type RefusedError struct {
	// Guessed tells that the token may have been made up: it has not been shown to
	// be of this registry.
	Guessed bool
	// Reason says what is wrong with it, as "was revoked".
	Reason string
}

// Error is a sentence without anything of the token.
func (e *RefusedError) Error() string { return "the token " + e.Reason }

// unknown is said of every token that does not match, so that it tells nothing of
// which ids there are.
var unknown = &RefusedError{Guessed: true, Reason: "is not one of this registry"}

// NewToken writes a token for an account and returns it with its secret, which is
// kept nowhere. The expiry has been set and checked. It returns ErrTooMany.
func NewToken(ctx context.Context, tx store.Tx, t *pb.Token) (*pb.Token, string, error) {
	n, err := tx.Count(ctx, store.Tokens, t.GetAccount())
	if err != nil {
		return nil, "", err
	}
	if n >= MostTokens {
		return nil, "", ErrTooMany
	}
	s := newSecret()
	t.Name, t.CreateTime, t.RevokeTime = tokenName(s.id), timestamppb.New(tx.Now()), nil
	r, err := tokenRecord(&pb.KeptToken{Token: t, Hash: s.hash()})
	if err != nil {
		return nil, "", err
	}
	_, err = tx.Create(ctx, r)
	return t, s.text(tokenMark), err
}

func tokenName(id string) string { return "tokens/" + id }

// tokenRecord is a token as it is kept: open while it was not revoked.
func tokenRecord(t *pb.KeptToken) (store.Record, error) {
	body, err := record.Body(t)
	return store.Record{
		Name: t.GetToken().GetName(), Collection: store.Tokens, Parent: t.GetToken().GetAccount(), Body: body,
		Open: t.GetToken().GetRevokeTime() == nil,
	}, err
}

// Known is the caller who shows the secret of a token. It returns a *RefusedError
// if that lets nobody in.
func Known(ctx context.Context, from store.Reader, text string, at time.Time) (Caller, error) {
	s, ok := readSecret(tokenMark, text)
	if !ok {
		return Caller{}, unknown
	}
	kept, err := TokenNamed(ctx, from, tokenName(s.id))
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return Caller{}, err
	}
	if !s.is(kept.GetHash()) { // compared also where there is no such token
		return Caller{}, unknown
	}
	return StillKnown(ctx, from, kept.GetToken(), at)
}

// StillKnown is the caller of a token that was shown to be theirs, as it stands at
// a time: what takes long asks again.
func StillKnown(ctx context.Context, from store.Reader, t *pb.Token, at time.Time) (Caller, error) {
	switch {
	case t.GetRevokeTime() != nil:
		return Caller{}, &RefusedError{Reason: "was revoked"}
	case !at.Before(t.GetExpireTime().AsTime()):
		return Caller{}, &RefusedError{Reason: "has expired"}
	}
	a, err := AccountNamed(ctx, from, t.GetAccount())
	if err != nil {
		return Caller{}, err
	}
	if a.GetState() == pb.AccountState_ACCOUNT_STATE_SUSPENDED {
		return Caller{}, &RefusedError{Reason: "is of an account that the operator has suspended"}
	}
	pending := a.GetState() != pb.AccountState_ACCOUNT_STATE_ACTIVE
	return Caller{
		Account: a.GetName(), Operator: a.GetOperator() && !pending, Pending: pending,
		Token: t.GetName(), Scopes: t.GetScopes(), Expires: t.GetExpireTime().AsTime(),
	}, nil
}

// TokenNamed is a token as it is kept, or store.ErrNotFound.
func TokenNamed(ctx context.Context, from store.Reader, name string) (*pb.KeptToken, error) {
	r, err := from.Get(ctx, name)
	if err == nil && r.Collection != store.Tokens {
		err = store.ErrNotFound
	}
	if err != nil {
		return nil, err
	}
	return record.Token(r)
}

// Revoke ends a token. One that was revoked stays as it is. It returns the change
// number of the token's last write.
func Revoke(ctx context.Context, tx store.Tx, kept *pb.KeptToken) (uint64, error) {
	if kept.GetToken().GetRevokeTime() != nil {
		r, err := tx.Get(ctx, kept.GetToken().GetName())
		return r.Revision, err
	}
	kept.Token.RevokeTime = timestamppb.New(tx.Now())
	r, err := tokenRecord(kept)
	if err != nil {
		return 0, err
	}
	r, err = tx.Update(ctx, r)
	return r.Revision, err
}
