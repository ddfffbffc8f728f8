package deliver

import (
	"context"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/store"
)

// Nothing is sent to whom the operator has shut out, and again to whom they let in.
func TestNothingIsSentToASuspendedAccount(t *testing.T) {
	r := newRig(t, Config{})
	var ann *pb.Account
	r.write(t, func(ctx context.Context, tx store.Tx) (err error) {
		if ann, err = access.NewAccount(ctx, tx, &pb.Account{DisplayName: "Ann", State: pb.AccountState_ACCOUNT_STATE_ACTIVE}); err != nil {
			return err
		}
		return access.Own(ctx, tx, access.Caller{Account: ann.GetName()}, list, pb.Relation_RELATION_SEEKER)
	})
	r.put(t, &pb.Delivery{Email: address})
	for _, c := range []struct {
		state pb.AccountState
		sends bool
	}{
		{pb.AccountState_ACCOUNT_STATE_ACTIVE, true}, {pb.AccountState_ACCOUNT_STATE_SUSPENDED, false}, {pb.AccountState_ACCOUNT_STATE_ACTIVE, true},
	} {
		r.write(t, func(ctx context.Context, tx store.Tx) error {
			_, err := access.Let(ctx, tx, ann.GetName(), c.state)
			return err
		})
		kept, err := wantedOf(t.Context(), r.store, list)
		if err != nil || wantsEmail(kept.GetDelivery()) != c.sends {
			t.Errorf("%v: %v, %v", c.state, kept, err)
		}
	}
}
