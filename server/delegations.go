package server

import (
	"context"
	"errors"
	"slices"
	"strings"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

func (s *accountService) CreateDelegation(ctx context.Context, req *pb.CreateDelegationRequest) (*pb.CreateDelegationResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	asked := req.GetDelegation()
	if asked == nil {
		return nil, invalid("delegation", "is missing")
	}
	c := new(checker)
	c.required("delegation.note", strings.TrimSpace(asked.GetNote()), 5_000)
	if err := c.err(); err != nil {
		return nil, err
	}
	answer, err := once(ctx, s.store, req, new(pb.CreateDelegationResponse), func(tx store.Tx) (*pb.CreateDelegationResponse, error) {
		if _, err := recordOf(ctx, tx, store.Shops, asked.GetShop()); err != nil {
			return nil, err
		}
		if err := s.may(ctx, tx, theShop(ctx, tx, asked.GetShop())); err != nil {
			return nil, err
		}
		if err := activeAccount(ctx, tx, "delegation.account", asked.GetAccount()); err != nil {
			return nil, err
		}
		d := &pb.Delegation{
			Shop: asked.GetShop(), Account: asked.GetAccount(), Note: strings.TrimSpace(asked.GetNote()), CreateAccount: access.From(ctx).Account,
		}
		change, err := access.Delegate(ctx, tx, d)
		if err != nil {
			return nil, tied(err, d)
		}
		return &pb.CreateDelegationResponse{Delegation: d, Change: change}, audit(ctx, tx, actDelegate, d.GetName())
	})
	s.logged(ctx, err, actDelegate, answer.GetDelegation().GetName())
	return answer, err
}

func tied(err error, d *pb.Delegation) error {
	switch {
	case errors.Is(err, access.ErrTied):
		return exists("shop", d.GetShop(), "a tie to "+d.GetAccount())
	case errors.Is(err, access.ErrTooMany):
		return problem(codes.ResourceExhausted, ReasonTooMuch, "%s has as many shops and lists as it may", d.GetAccount())
	}
	return err
}

// activeAccount refuses a name, in a field, of no account that is let in. The three
// cases are one answer, so that it tells nothing of who is here.
func activeAccount(ctx context.Context, from store.Reader, field, name string) error {
	a, err := access.AccountNamed(ctx, from, name)
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return err
	}
	if a.GetState() != pb.AccountState_ACCOUNT_STATE_ACTIVE {
		return invalid(field, "is not the name of an active account: write accounts/ and its id, as its owner has it from heirpress account")
	}
	return nil
}

func (s *accountService) ListDelegations(ctx context.Context, req *pb.ListDelegationsRequest) (*pb.ListDelegationsResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	asked := &pb.ListDelegationsRequest{Shop: req.GetShop()}
	listing, err := s.listing(ctx, store.Delegations, asked, req)
	if err != nil {
		return nil, err
	}
	if req.GetShop() == "" {
		return s.delegatedToCaller(ctx, asked, listing)
	}
	if _, err := recordOf(ctx, s.store, store.Shops, req.GetShop()); err != nil {
		return nil, err
	}
	if err := s.may(ctx, s.store, theShop(ctx, s.store, req.GetShop())); err != nil {
		return nil, err
	}
	listing.Parent = req.GetShop()
	all, next, err := page(ctx, s.store, listing, record.Delegation)
	if err != nil {
		return nil, err
	}
	return &pb.ListDelegationsResponse{Delegations: all, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

// delegatedToCaller is a page of the delegations to the caller that stand.
func (s *accountService) delegatedToCaller(ctx context.Context, asked *pb.ListDelegationsRequest, l store.Listing) (*pb.ListDelegationsResponse, error) {
	ties, err := access.TiesOf(ctx, s.store, access.From(ctx).Account)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, t := range ties {
		names = append(names, t.GetDelegation()) // none of those that they keep themselves
	}
	records, err := s.store.GetMany(ctx, names)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(records, byCreation)
	all, next, err := pageRecords(records, l, record.Delegation, func(*pb.Delegation) (bool, error) { return true, nil })
	return &pb.ListDelegationsResponse{Delegations: all, NextPageToken: s.nextPage(ctx, asked, next)}, err
}

func (s *accountService) RevokeDelegation(ctx context.Context, req *pb.RevokeDelegationRequest) (*pb.RevokeDelegationResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	answer := new(pb.RevokeDelegationResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		r, err := recordOf(ctx, tx, store.Delegations, req.GetName())
		if err != nil {
			return err
		}
		if err := s.may(ctx, tx, under(access.ADelegation, r)); err != nil {
			return err
		}
		answer.Delegation, answer.Change, err = access.Undelegate(ctx, tx, r, access.From(ctx).Account)
		if err != nil || answer.GetChange() == r.Revision {
			return err
		}
		return audit(ctx, tx, actUndelegate, req.GetName())
	})
	s.logged(ctx, err, actUndelegate, req.GetName())
	return answer, err
}

func (s *accountService) HandOver(ctx context.Context, req *pb.HandOverRequest) (*pb.HandOverResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	answer := new(pb.HandOverResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		as, err := s.mayHandOver(ctx, tx, req.GetName())
		if err != nil {
			return err
		}
		if err := activeAccount(ctx, tx, "account", req.GetAccount()); err != nil {
			return err
		}
		change, err := access.HandOver(ctx, tx, req.GetName(), req.GetAccount(), access.From(ctx).Account, as)
		if err != nil || change == 0 {
			return tied(err, &pb.Delegation{Shop: req.GetName(), Account: req.GetAccount()})
		}
		if answer.Change, err = rename(ctx, tx, req.GetName(), req.GetAccount()); err != nil {
			return err
		}
		return audit(ctx, tx, actHandOver, req.GetName())
	})
	s.logged(ctx, err, actHandOver, req.GetName())
	return answer, err
}

// rename puts what was handed over among the titles of its new owner, and forgets
// where the old one had their alerts sent.
func rename(ctx context.Context, tx store.Tx, name, owner string) (change uint64, err error) {
	r, err := tx.Get(ctx, name)
	if err != nil {
		return 0, err
	}
	title, called := "", "shop"
	if r.Collection == store.WantedLists {
		if _, err := dropDelivery(ctx, tx, name); err != nil {
			return 0, err
		}
		list, err := record.WantedList(r)
		if err != nil {
			return 0, err
		}
		title, called = list.GetTitle(), "wanted list"
	} else {
		shop, err := record.Shop(r)
		if err != nil {
			return 0, err
		}
		title = shop.GetTitle()
		r.Body = record.Sign(r.Body, access.From(ctx).Author())
	}
	r.Key = titleKey(owner, title)
	r, err = tx.Update(ctx, r)
	return r.Revision, taken(err, called, "this title")
}

// mayHandOver refuses what the caller may not give away, and is what its new owner
// becomes.
func (s *accountService) mayHandOver(ctx context.Context, tx store.Tx, name string) (pb.Relation, error) {
	if strings.HasPrefix(name, "wantedLists/") {
		if _, err := recordOf(ctx, tx, store.WantedLists, name); err != nil {
			return 0, err
		}
		return pb.Relation_RELATION_SEEKER, s.may(ctx, tx, theList(name))
	}
	if _, err := recordOf(ctx, tx, store.Shops, name); err != nil {
		return 0, err
	}
	return pb.Relation_RELATION_KEEPER, s.may(ctx, tx, theShop(ctx, tx, name))
}
