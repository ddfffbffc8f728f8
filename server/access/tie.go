package access

import (
	"context"
	"errors"
	"fmt"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// MostTies is how many shops and wanted lists one account may have made, and how
// many others may have given it or had it speak for. The two are counted apart, so
// that nobody can fill another's account.
const MostTies = 1000

// ErrTooMany says that an account has as much of something as it may.
var ErrTooMany = errors.New("access: the account has as many as it may")

// given is what an account's ties are listed under that others have made.
func given(account string) string { return account + "/given" }

func tieName(account, thing string) string      { return "ties/" + thing + "/" + account }
func tieUnderName(account, thing string) string { return "accountTies/" + account + "/" + thing }

// TieOf is the tie of an account to a shop or wanted list; nil if there is none.
func TieOf(ctx context.Context, from store.Reader, account, thing string) (*pb.Tie, error) {
	r, err := from.Get(ctx, tieName(account, thing))
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return record.Tie(r)
}

// Tied are the ties of all who have a shop or wanted list or speak for it.
func Tied(ctx context.Context, from store.Reader, thing string) ([]*pb.Tie, error) {
	return ties(ctx, from, store.Ties, thing)
}

// TiesOf are the ties of an account: those it has made, and then those that others
// have.
func TiesOf(ctx context.Context, from store.Reader, account string) ([]*pb.Tie, error) {
	made, err := ties(ctx, from, store.AccountTies, account)
	if err != nil {
		return nil, err
	}
	others, err := ties(ctx, from, store.AccountTies, given(account))
	return append(made, others...), err
}

func ties(ctx context.Context, from store.Reader, c store.Collection, parent string) ([]*pb.Tie, error) {
	var all []*pb.Tie
	for r, err := range store.Each(ctx, from, store.Listing{Collection: c, Parent: parent}) {
		if err != nil {
			return all, err
		}
		t, err := record.Tie(r)
		if err != nil {
			return nil, err
		}
		all = append(all, t)
	}
	return all, nil
}

// Owner is the account that has a shop or wanted list; empty if nobody has, as one
// of the time before accounts.
func Owner(ctx context.Context, from store.Reader, thing string) (string, error) {
	all, err := Tied(ctx, from, thing)
	for _, t := range all {
		if t.GetRelation() != pb.Relation_RELATION_GO_BETWEEN {
			return t.GetAccount(), err
		}
	}
	return "", err
}

// OwnerSuspended tells whether a shop or wanted list is of an account that the
// operator has suspended.
func OwnerSuspended(ctx context.Context, from store.Reader, thing string) (bool, error) {
	owner, err := Owner(ctx, from, thing)
	if err != nil || owner == "" {
		return false, err
	}
	a, err := AccountNamed(ctx, from, owner)
	return a.GetState() == pb.AccountState_ACCOUNT_STATE_SUSPENDED, err
}

// Own makes a caller the keeper of a shop, or the seeker of a wanted list, that
// they have just made. A caller without an account, in a registry without, makes
// what is nobody's. It returns ErrTooMany.
func Own(ctx context.Context, tx store.Tx, c Caller, thing string, as pb.Relation) error {
	if c.Account == "" {
		return nil
	}
	return tie(ctx, tx, c.Account, &pb.Tie{Account: c.Account, Thing: thing, Relation: as})
}

// tie writes a tie, in both its places: under the thing, and under its account or
// what others have given that.
func tie(ctx context.Context, tx store.Tx, under string, t *pb.Tie) error {
	n, err := tx.Count(ctx, store.AccountTies, under)
	if err != nil {
		return err
	}
	if n >= MostTies {
		return ErrTooMany
	}
	body, err := record.Body(t)
	if err != nil {
		return err
	}
	for _, r := range []store.Record{
		{Name: tieName(t.GetAccount(), t.GetThing()), Collection: store.Ties, Parent: t.GetThing()},
		{Name: tieUnderName(t.GetAccount(), t.GetThing()), Collection: store.AccountTies, Parent: under},
	} {
		r.Body = body
		if _, err := tx.Create(ctx, r); err != nil {
			return fmt.Errorf("tie of %s to %s: %w", t.GetAccount(), t.GetThing(), err)
		}
	}
	return nil
}

// untie takes a tie away. One that is not there is no error.
func untie(ctx context.Context, tx store.Tx, account, thing string) error {
	for _, name := range []string{tieName(account, thing), tieUnderName(account, thing)} {
		if _, err := tx.Delete(ctx, name); err != nil && !errors.Is(err, store.ErrNotFound) {
			return err
		}
	}
	return nil
}
