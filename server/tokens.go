package server

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

// scopeWord is a scope as people write it.
func scopeWord(s pb.TokenScope) string {
	return strings.ToLower(strings.TrimPrefix(s.String(), "TOKEN_SCOPE_"))
}

func (s *accountService) CreateToken(ctx context.Context, req *pb.CreateTokenRequest) (*pb.CreateTokenResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	if req.GetToken() == nil {
		return nil, invalid("token", "is missing")
	}
	token, err := checkToken(access.From(ctx), req.GetToken())
	if err != nil {
		return nil, err
	}
	token.Account = mine(ctx, req.GetToken().GetAccount())
	answer := new(pb.CreateTokenResponse)
	err = s.store.Write(ctx, func(tx store.Tx) error {
		if _, err := recordOf(ctx, tx, store.Accounts, token.GetAccount()); err != nil {
			return err
		}
		if err := s.mayAccount(ctx, tx, token.GetAccount()); err != nil {
			return err
		}
		if answer.Token, answer.Secret, err = access.NewToken(ctx, tx, token); err != nil {
			return err
		}
		if err := audit(ctx, tx, actToken, answer.GetToken().GetName()); err != nil {
			return err
		}
		answer.Change, err = tx.Head(ctx)
		return err
	})
	s.logged(ctx, err, actToken, answer.GetToken().GetName())
	if errors.Is(err, access.ErrTooMany) {
		return nil, problem(codes.ResourceExhausted, ReasonTooMuch, "the account has made %d tokens: that is all it may", access.MostTokens)
	}
	return answer, err
}

// checkToken is the token that a caller asks for, no more able and no longer good
// than the one they ask with.
func checkToken(by access.Caller, asked *pb.Token) (*pb.Token, error) {
	c := new(checker)
	c.required("token.title", strings.TrimSpace(asked.GetTitle()), 100)
	longest := min(access.LongestLife, time.Until(by.Expires))
	expires := c.expiry("token.expire_time", asked.GetExpireTime(), min(access.UsualLife, longest), longest)
	scopes := asked.GetScopes()
	if len(scopes) == 0 {
		scopes = by.Scopes
	}
	for _, scope := range scopes {
		if pb.TokenScope_name[int32(scope)] == "" || scope == 0 {
			c.wrong("token.scopes", "has %d: not a value of TokenScope", scope)
		} else if !by.MayUse(scope) {
			c.wrong("token.scopes", "has %s, which the token that asks does not have itself", scopeWord(scope))
		}
	}
	slices.Sort(scopes)
	return &pb.Token{Title: strings.TrimSpace(asked.GetTitle()), Scopes: slices.Compact(scopes), ExpireTime: expires}, c.err()
}

func (s *accountService) ListTokens(ctx context.Context, req *pb.ListTokensRequest) (*pb.ListTokensResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	account := mine(ctx, req.GetAccount())
	asked := &pb.ListTokensRequest{Account: account}
	listing, err := s.listing(ctx, store.Tokens, asked, req)
	if err != nil {
		return nil, err
	}
	if _, err := recordOf(ctx, s.store, store.Accounts, account); err != nil {
		return nil, err
	}
	if err := s.mayAccount(ctx, s.store, account); err != nil {
		return nil, err
	}
	listing.Parent = account
	tokens, next, err := page(ctx, s.store, listing, readToken)
	if err != nil {
		return nil, err
	}
	return &pb.ListTokensResponse{Tokens: tokens, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

// readToken reads a token as it is told: without its hash.
func readToken(r store.Record) (*pb.Token, error) {
	kept, err := record.Token(r)
	return kept.GetToken(), err
}

func (s *accountService) RevokeToken(ctx context.Context, req *pb.RevokeTokenRequest) (*pb.RevokeTokenResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	answer := new(pb.RevokeTokenResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		r, err := recordOf(ctx, tx, store.Tokens, req.GetName())
		if err != nil {
			return err
		}
		kept, err := record.Token(r)
		if err != nil {
			return err
		}
		if err := s.may(ctx, tx, under(access.AToken, r)); err != nil {
			return err
		}
		answer.Token = kept.GetToken()
		was := r.Revision
		if answer.Change, err = access.Revoke(ctx, tx, kept); err != nil || answer.GetChange() == was {
			return err
		}
		return audit(ctx, tx, actRevoke, req.GetName())
	})
	s.logged(ctx, err, actRevoke, req.GetName())
	return answer, err
}
