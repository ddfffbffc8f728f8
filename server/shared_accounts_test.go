//go:build unix

package server_test

import (
	"testing"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
	"heirpress/server/store/postgres/pgtest"
)

// Daemons that share a registry know the same accounts: what is given, delegated or
// revoked at one counts at the other with the next call.
func TestAccountsOnASharedStore(t *testing.T) {
	address := pgtest.Shared(t).Schema()
	s, err := server.OpenStore(t.Context(), "", address)
	if err != nil {
		t.Fatal(err)
	}
	a, secret, err := access.NewOperator(t.Context(), s, "Olive the operator")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	daemon := func() *world {
		r := openWith(t, server.Config{Dir: t.TempDir(), Store: address, Accounts: server.ByInvitation})
		return &world{
			rig: r, accounts: pb.NewAccountServiceClient(r.conn), interest: pb.NewInterestServiceClient(r.conn),
			operator: somebody{account: a.GetName(), secret: secret},
		}
	}
	one, other := daemon(), daemon()
	ann, ines := one.invite(t), one.invite(t)
	shop := one.shopOf(t, ann).GetName()
	given := other.delegate(t, ann, ines, shop)
	lot, _ := other.lotIn(t, ines, shop, pb.LotState_LOT_STATE_DRAFT)
	if _, err := one.lots.GetLot(ines.as(t), &pb.GetLotRequest{Name: lot.GetName()}); err != nil {
		t.Error(err)
	}
	if _, err := one.accounts.RevokeDelegation(ann.as(t), &pb.RevokeDelegationRequest{Name: given.GetName()}); err != nil {
		t.Fatal(err)
	}
	_, err = other.lots.GetLot(ines.as(t), &pb.GetLotRequest{Name: lot.GetName()})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	if _, err := other.accounts.RevokeToken(ann.as(t), &pb.RevokeTokenRequest{Name: ann.token}); err != nil {
		t.Fatal(err)
	}
	_, err = one.shops.ListShops(ann.as(t), &pb.ListShopsRequest{})
	refused(t, err, codes.Unauthenticated, server.ReasonTokenRefused)
	if got := one.audited(t); len(got) != 7 {
		t.Errorf("written down: %q", got)
	}
}
