package server

import (
	"context"
	"errors"
	"strings"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

type accountService struct {
	pb.UnimplementedAccountServiceServer
	*Registry
}

const (
	usualInvitation   = 14 * 24 * time.Hour
	longestInvitation = 365 * 24 * time.Hour
)

// accountsOn refuses what has no meaning where there are no accounts.
func (s *accountService) accountsOn() error {
	if s.config.Accounts == NoAccounts {
		return problem(codes.FailedPrecondition, ReasonAccountsOff, "this registry has no accounts: whoever can reach it has everything in it")
	}
	return nil
}

// mine is a request's account: a name, or the caller's own.
func mine(ctx context.Context, name string) string {
	if name == "" || name == "accounts/me" {
		return access.From(ctx).Account
	}
	return name
}

// mayAccount refuses what the caller may not do to an account.
func (s *accountService) mayAccount(ctx context.Context, from store.Reader, name string) error {
	return s.may(ctx, from, thing{kind: access.AnAccount, called: "account", name: name, of: name, state: stateless})
}

func (s *accountService) CreateInvitation(ctx context.Context, req *pb.CreateInvitationRequest) (*pb.CreateInvitationResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	c := new(checker)
	c.text("note", req.GetNote(), 200)
	expires := c.expiry("expire_time", req.GetExpireTime(), usualInvitation, longestInvitation)
	if err := c.err(); err != nil {
		return nil, err
	}
	answer := &pb.CreateInvitationResponse{ExpireTime: expires}
	kept := &pb.KeptInvitation{Note: req.GetNote(), ExpireTime: expires, CreateAccount: access.From(ctx).Account}
	err := s.store.Write(ctx, func(tx store.Tx) (err error) {
		if answer.Invitation, answer.Change, err = access.Invite(ctx, tx, kept); err != nil {
			return err
		}
		return audit(ctx, tx, actInvite, kept.GetName())
	})
	s.logged(ctx, err, actInvite, kept.GetName())
	return answer, err
}

// expiry is when something ends of which a caller may say how long it is good.
func (c *checker) expiry(field string, asked *timestamppb.Timestamp, usual, longest time.Duration) *timestamppb.Timestamp {
	now := time.Now()
	if asked == nil {
		return timestamppb.New(now.Add(usual))
	}
	if !asked.IsValid() || !asked.AsTime().After(now) || asked.AsTime().After(now.Add(longest)) {
		c.wrong(field, "is not a time from now until %s", now.Add(longest).UTC().Format(time.DateOnly))
	}
	return asked
}

func (s *accountService) CreateAccount(ctx context.Context, req *pb.CreateAccountRequest) (*pb.CreateAccountResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	if err := checkAccount(req); err != nil {
		return nil, err
	}
	if err := s.mayJoin(ctx, req); err != nil {
		return nil, err
	}
	answer := new(pb.CreateAccountResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error { return openAccount(ctx, tx, req, answer) })
	if errors.Is(err, access.ErrInvitation) {
		s.guesses.failed(addressOf(ctx))
		return nil, invalid("invitation", "is not known, was used or has expired: ask the operator for another")
	}
	s.logged(ctx, err, actOpen, answer.GetAccount().GetName())
	return answer, err
}

func checkAccount(req *pb.CreateAccountRequest) error {
	if req.GetAccount() == nil {
		return invalid("account", "is missing")
	}
	c := new(checker)
	c.required("account.display_name", strings.TrimSpace(req.GetAccount().GetDisplayName()), access.LongestDisplayName)
	c.text("account.about", req.GetAccount().GetAbout(), 2_000)
	c.text("token_title", req.GetTokenTitle(), 100)
	return c.err()
}

// mayJoin refuses who needs an invitation and has none, who has shown too many that
// were none, and who opens too many accounts without.
func (s *accountService) mayJoin(ctx context.Context, req *pb.CreateAccountRequest) error {
	if req.GetInvitation() != "" {
		return s.guesses.mayTry(addressOf(ctx))
	}
	if s.config.Accounts == ByInvitation {
		return problem(codes.FailedPrecondition, ReasonInvitation, "this registry takes people by invitation: ask its operator for one")
	}
	return s.guesses.mayJoin(addressOf(ctx))
}

func openAccount(ctx context.Context, tx store.Tx, req *pb.CreateAccountRequest, answer *pb.CreateAccountResponse) (err error) {
	a := &pb.Account{
		DisplayName: strings.TrimSpace(req.GetAccount().GetDisplayName()), About: req.GetAccount().GetAbout(),
		State: pb.AccountState_ACCOUNT_STATE_PENDING,
	}
	var invitation *pb.KeptInvitation
	if req.GetInvitation() != "" {
		if invitation, err = access.Invited(ctx, tx, req.GetInvitation()); err != nil {
			return err
		}
		a.State = pb.AccountState_ACCOUNT_STATE_ACTIVE
	}
	if answer.Account, err = access.NewAccount(ctx, tx, a); err != nil {
		return err
	}
	if invitation != nil {
		if err := access.UseInvitation(ctx, tx, invitation, answer.GetAccount().GetName()); err != nil {
			return err
		}
	}
	first := &pb.Token{
		Account: answer.GetAccount().GetName(), Title: orElse(req.GetTokenTitle(), "first token"),
		ExpireTime: timestamppb.New(tx.Now().Add(access.UsualLife)),
	}
	if answer.Token, answer.Secret, err = access.NewToken(ctx, tx, first); err != nil {
		return err
	}
	if err := audit(ctx, tx, actOpen, answer.GetAccount().GetName()); err != nil {
		return err
	}
	answer.Change, err = tx.Head(ctx)
	return err
}

func orElse(text, usual string) string {
	if text == "" {
		return usual
	}
	return text
}

func (s *accountService) GetAccount(ctx context.Context, req *pb.GetAccountRequest) (*pb.GetAccountResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	a, err := get(ctx, s.store, store.Accounts, mine(ctx, req.GetName()), record.Account)
	if err != nil {
		return nil, err
	}
	if err := s.mayAccount(ctx, s.store, a.GetName()); err != nil {
		return nil, err
	}
	return &pb.GetAccountResponse{Account: a}, nil
}

func (s *accountService) ListAccounts(ctx context.Context, req *pb.ListAccountsRequest) (*pb.ListAccountsResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	asked := &pb.ListAccountsRequest{PendingOnly: req.GetPendingOnly()}
	listing, err := s.listing(ctx, store.Accounts, asked, req)
	if err != nil {
		return nil, err
	}
	listing.OpenOnly = req.GetPendingOnly()
	accounts, next, err := page(ctx, s.store, listing, record.Account)
	if err != nil {
		return nil, err
	}
	return &pb.ListAccountsResponse{Accounts: accounts, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

func (s *accountService) ApproveAccount(ctx context.Context, req *pb.ApproveAccountRequest) (*pb.ApproveAccountResponse, error) {
	a, err := s.let(ctx, req.GetName(), pb.AccountState_ACCOUNT_STATE_ACTIVE, actApprove)
	return &pb.ApproveAccountResponse{Account: a, Change: a.GetRevision()}, err
}

func (s *accountService) SuspendAccount(ctx context.Context, req *pb.SuspendAccountRequest) (*pb.SuspendAccountResponse, error) {
	a, err := s.let(ctx, req.GetName(), pb.AccountState_ACCOUNT_STATE_SUSPENDED, actSuspend)
	return &pb.SuspendAccountResponse{Account: a, Change: a.GetRevision()}, err
}

// let puts an account into a state.
func (s *accountService) let(ctx context.Context, name string, state pb.AccountState, act string) (a *pb.Account, err error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	err = s.store.Write(ctx, func(tx store.Tx) error {
		head, err := tx.Head(ctx)
		if err != nil {
			return err
		}
		if a, err = access.Let(ctx, tx, name, state); err != nil || a.GetRevision() <= head {
			return err
		}
		return audit(ctx, tx, act, name)
	})
	s.logged(ctx, err, act, name)
	switch {
	case errors.Is(err, store.ErrNotFound):
		err = notFound("account", name)
	case errors.Is(err, access.ErrLastOperator):
		err = problem(codes.FailedPrecondition, ReasonLastOperator, "%s is the last operator: nobody would be left to let anybody in", name)
	}
	return a, err
}
