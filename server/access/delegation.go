package access

import (
	"context"
	"errors"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// ErrTied says that an account has a tie to the shop already.
var ErrTied = errors.New("access: the account has something to do with it already")

// Delegate writes a delegation and makes its account a go-between of its shop. The
// shop and the account are there. It returns ErrTied or ErrTooMany.
func Delegate(ctx context.Context, tx store.Tx, d *pb.Delegation) (change uint64, err error) {
	before, err := TieOf(ctx, tx, d.GetAccount(), d.GetShop())
	if err != nil {
		return 0, err
	}
	if before != nil {
		return 0, ErrTied
	}
	d.Name, d.CreateTime = "delegations/"+randomID(), timestamppb.New(tx.Now())
	t := &pb.Tie{Account: d.GetAccount(), Thing: d.GetShop(), Relation: pb.Relation_RELATION_GO_BETWEEN, Delegation: d.GetName()}
	if err := tie(ctx, tx, given(d.GetAccount()), t); err != nil {
		return 0, err
	}
	r, err := delegationRecord(d)
	if err != nil {
		return 0, err
	}
	r, err = tx.Create(ctx, r)
	return r.Revision, err
}

// delegationRecord is a delegation as it is kept: open while it stands.
func delegationRecord(d *pb.Delegation) (store.Record, error) {
	body, err := record.Body(d)
	return store.Record{
		Name: d.GetName(), Collection: store.Delegations, Parent: d.GetShop(), Body: body, Open: d.GetRevokeTime() == nil,
	}, err
}

// Undelegate ends a delegation, in the name of an account. One that was ended
// stays as it is. It returns the change number of its last write.
func Undelegate(ctx context.Context, tx store.Tx, r store.Record, by string) (*pb.Delegation, uint64, error) {
	d, err := record.Delegation(r)
	if err != nil || !r.Open {
		return d, r.Revision, err
	}
	if err := untie(ctx, tx, d.GetAccount(), d.GetShop()); err != nil {
		return nil, 0, err
	}
	d.RevokeTime, d.RevokeAccount = timestamppb.New(tx.Now()), by
	if r, err = delegationRecord(d); err != nil {
		return nil, 0, err
	}
	r, err = tx.Update(ctx, r)
	return d, r.Revision, err
}

// HandOver gives a shop or a wanted list to an account, whoever had it. A
// go-between who becomes the keeper is a go-between no more. It returns the change
// number of the last write, 0 if the account has it already, or ErrTooMany.
func HandOver(ctx context.Context, tx store.Tx, thing, account, by string, as pb.Relation) (uint64, error) {
	owner, err := Owner(ctx, tx, thing)
	if err != nil || owner == account {
		return 0, err
	}
	if err := endTie(ctx, tx, thing, account, by); err != nil {
		return 0, err
	}
	if owner != "" {
		if err := untie(ctx, tx, owner, thing); err != nil {
			return 0, err
		}
	}
	if err := tie(ctx, tx, given(account), &pb.Tie{Account: account, Thing: thing, Relation: as}); err != nil {
		return 0, err
	}
	return tx.Head(ctx)
}

// endTie ends what an account is to a thing, and the delegation that it hangs on.
func endTie(ctx context.Context, tx store.Tx, thing, account, by string) error {
	t, err := TieOf(ctx, tx, account, thing)
	if err != nil || t == nil {
		return err
	}
	r, err := tx.Get(ctx, t.GetDelegation())
	if err != nil {
		return err
	}
	_, _, err = Undelegate(ctx, tx, r, by)
	return err
}
