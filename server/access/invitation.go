package access

import (
	"context"
	"errors"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// ErrInvitation says that a code is not an invitation, or one that was used or has
// expired: which of these is nobody's business.
var ErrInvitation = errors.New("access: the invitation is not good")

// Invite writes an invitation and returns its code, which is kept nowhere, and the
// change number.
func Invite(ctx context.Context, tx store.Tx, i *pb.KeptInvitation) (code string, change uint64, err error) {
	s := newSecret()
	i.Name, i.Hash, i.CreateTime = invitations+s.id, s.hash(), timestamppb.New(tx.Now())
	r, err := invitationRecord(i)
	if err != nil {
		return "", 0, err
	}
	r, err = tx.Create(ctx, r)
	return s.text(invitationMark), r.Revision, err
}

// invitations is what the names of invitations begin with.
const invitations = "invitations/"

// invitationRecord is an invitation as it is kept: open until it is used.
func invitationRecord(i *pb.KeptInvitation) (store.Record, error) {
	body, err := record.Body(i)
	return store.Record{Name: i.GetName(), Collection: store.Invitations, Open: i.GetOpenedAccount() == "", Body: body}, err
}

// Invited is the invitation of a code, or ErrInvitation.
func Invited(ctx context.Context, tx store.Tx, code string) (*pb.KeptInvitation, error) {
	s, r, ok, err := keptFor(ctx, tx, invitationMark, code, invitations)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, ErrInvitation
	}
	i, err := record.Invitation(r)
	if err != nil {
		return nil, err
	}
	if !s.is(i.GetHash()) || i.GetOpenedAccount() != "" || !tx.Now().Before(i.GetExpireTime().AsTime()) {
		return nil, ErrInvitation
	}
	return i, nil
}

// UseInvitation marks an invitation as used by the account that was opened with it.
func UseInvitation(ctx context.Context, tx store.Tx, i *pb.KeptInvitation, account string) error {
	i.OpenedAccount = account
	r, err := invitationRecord(i)
	if err != nil {
		return err
	}
	_, err = tx.Update(ctx, r)
	return err
}
