package access

import (
	"context"
	"slices"
	"time"

	pb "heirpress/proto/heirpress/v1"
)

// Caller is who makes a call. The zero value is a caller without a token.
type Caller struct {
	// Local is the one person to whom a registry without accounts belongs, embedded
	// or served: they have everything in it. The rest is then empty.
	Local bool
	// Account is the caller's, "accounts/{account}"; empty without a token.
	Account string
	// Operator tells that the account is an operator's.
	Operator bool
	// Pending tells that the account still waits to be let in.
	Pending bool
	// Token is the one that was shown, "tokens/{token}".
	Token string
	// Scopes are what the token may be used for; none means everything.
	Scopes []pb.TokenScope
	// ProofCode is the code with which the caller passes or corrects a proof,
	// "proofCodes/{code}".
	ProofCode string
	// Expires is when the token stops being good.
	Expires time.Time
}

// Anonymous tells whether the call came without a token.
func (c Caller) Anonymous() bool { return !c.Local && c.Account == "" }

// Author is who writes what the caller writes: the account, or the code that stands
// for a keeper without one.
func (c Caller) Author() string {
	if c.ProofCode != "" {
		return c.ProofCode
	}
	return c.Account
}

// MayUse tells whether the caller's token is good for what needs a scope.
func (c Caller) MayUse(scope pb.TokenScope) bool {
	return len(c.Scopes) == 0 || slices.Contains(c.Scopes, scope)
}

type callerKey struct{}

// With is a context of a call by a caller.
func With(ctx context.Context, c Caller) context.Context {
	return context.WithValue(ctx, callerKey{}, c)
}

// From is the caller of a context; one that was never given a caller has one
// without a token, who may do the least.
func From(ctx context.Context) Caller {
	c, _ := ctx.Value(callerKey{}).(Caller)
	return c
}
