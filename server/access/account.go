package access

import (
	"context"
	"errors"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/server/record"
	"heirpress/server/store"
)

// ErrLastOperator says that an account cannot be closed, because nobody would be
// left to let anybody in.
var ErrLastOperator = errors.New("access: the account is the last operator's")

// LongestDisplayName is how long an account's name may be, in characters.
const LongestDisplayName = 100

// NewOperator opens an operator's account, for whoever has the store itself, and
// returns it with the secret of its first token.
func NewOperator(ctx context.Context, s store.Store, name string) (a *pb.Account, text string, err error) {
	err = s.Write(ctx, func(tx store.Tx) error {
		a, err = NewAccount(ctx, tx, &pb.Account{DisplayName: name, State: pb.AccountState_ACCOUNT_STATE_ACTIVE, Operator: true})
		if err != nil {
			return err
		}
		_, text, err = NewToken(ctx, tx, &pb.Token{
			Account: a.GetName(), Title: "first token", ExpireTime: timestamppb.New(tx.Now().Add(UsualLife)),
		})
		return err
	})
	return a, text, err
}

// NewAccount writes an account, whose state and operator the caller has set, under
// a name of its own.
func NewAccount(ctx context.Context, tx store.Tx, a *pb.Account) (*pb.Account, error) {
	a.Name = "accounts/" + newID(a.GetDisplayName())
	a.CreateTime, a.UpdateTime = timestamppb.New(tx.Now()), timestamppb.New(tx.Now())
	r, err := accountRecord(a)
	if err != nil {
		return nil, err
	}
	if r, err = tx.Create(ctx, r); err != nil {
		return nil, err
	}
	return record.Account(r)
}

// newID is a readable and unique last part for a name.
func newID(title string) string {
	if s := trade.Slug(title); s != "" {
		return s + "-" + randomID()[:5]
	}
	return randomID()
}

// accountRecord is an account as it is kept: open while it waits for approval.
func accountRecord(a *pb.Account) (store.Record, error) {
	body, err := record.Body(a)
	return store.Record{
		Name: a.GetName(), Collection: store.Accounts, Body: body,
		Open: a.GetState() == pb.AccountState_ACCOUNT_STATE_PENDING,
	}, err
}

// AccountNamed is an account, or store.ErrNotFound.
func AccountNamed(ctx context.Context, from store.Reader, name string) (*pb.Account, error) {
	r, err := from.Get(ctx, name)
	if err == nil && r.Collection != store.Accounts {
		err = store.ErrNotFound
	}
	if err != nil {
		return nil, err
	}
	return record.Account(r)
}

// Let lets an account in or, for good or for a while, closes it. One that is so
// already stays as it is. It returns store.ErrNotFound or ErrLastOperator.
func Let(ctx context.Context, tx store.Tx, name string, state pb.AccountState) (*pb.Account, error) {
	a, err := AccountNamed(ctx, tx, name)
	if err != nil || a.GetState() == state {
		return a, err
	}
	if state == pb.AccountState_ACCOUNT_STATE_SUSPENDED && a.GetOperator() {
		if err := anotherOperator(ctx, tx, name); err != nil {
			return nil, err
		}
	}
	a.State, a.UpdateTime = state, timestamppb.New(tx.Now())
	r, err := accountRecord(a)
	if err != nil {
		return nil, err
	}
	if r, err = tx.Update(ctx, r); err != nil {
		return nil, err
	}
	return record.Account(r)
}

// anotherOperator returns ErrLastOperator if no active account but one is an
// operator's.
func anotherOperator(ctx context.Context, from store.Reader, but string) error {
	for r, err := range store.Each(ctx, from, store.Listing{Collection: store.Accounts}) {
		if err != nil {
			return err
		}
		a, err := record.Account(r)
		if err != nil {
			return err
		}
		if a.GetOperator() && a.GetState() == pb.AccountState_ACCOUNT_STATE_ACTIVE && a.GetName() != but {
			return nil
		}
	}
	return ErrLastOperator
}

// Any tells whether a registry has accounts.
func Any(ctx context.Context, from store.Reader) (bool, error) {
	some, err := from.List(ctx, store.Listing{Collection: store.Accounts, Limit: 1})
	return len(some) > 0, err
}
