package server_test

import (
	"context"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
)

// trusted is a registry with accounts and a file of keys.
type trusted struct {
	*rig
	private       pb.PrivatePlaceServiceClient
	introductions pb.IntroductionServiceClient
	accounts      pb.AccountServiceClient
	operator      person
}

// person is an account and the way to call as it.
type person struct {
	name, secret string
}

// as is ctx of a call by a person; the zero person has no token.
func (p person) as(ctx context.Context) context.Context {
	if p.secret == "" {
		return ctx
	}
	return metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+p.secret)
}

var nobody person

func openTrusted(t *testing.T) *trusted {
	t.Helper()
	return openTrustedWith(t, server.Config{})
}

func openTrustedWith(t *testing.T, c server.Config) *trusted {
	t.Helper()
	c.Limits = server.Limits{PerSecond: 1e6, Burst: 1e6} // what is limited here is something else
	c.Dir, c.Accounts, c.Keys = t.TempDir(), server.ByInvitation, newKeys(t)
	s, err := server.OpenStore(t.Context(), c.Dir, "")
	if err != nil {
		t.Fatal(err)
	}
	a, secret, err := access.NewOperator(t.Context(), s, "Opal Reeve")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	r := openWith(t, c)
	return &trusted{
		rig: r, private: pb.NewPrivatePlaceServiceClient(r.conn), accounts: pb.NewAccountServiceClient(r.conn),
		introductions: pb.NewIntroductionServiceClient(r.conn), operator: person{a.GetName(), secret},
	}
}

// person opens an account.
func (r *trusted) person(t *testing.T, name string) person {
	t.Helper()
	invited, err := r.accounts.CreateInvitation(r.operator.as(t.Context()), &pb.CreateInvitationRequest{})
	if err != nil {
		t.Fatal(err)
	}
	made, err := r.accounts.CreateAccount(t.Context(), &pb.CreateAccountRequest{
		Account: &pb.Account{DisplayName: name}, Invitation: invited.GetInvitation(),
	})
	if err != nil {
		t.Fatal(err)
	}
	return person{made.GetAccount().GetName(), made.GetSecret()}
}

// goBetween makes a person the go-between of a shop.
func (r *trusted) goBetween(t *testing.T, keeper person, shop *pb.Shop, goBetween person) {
	t.Helper()
	well(t, r.accounts.CreateDelegation, keeper, &pb.CreateDelegationRequest{
		Delegation: &pb.Delegation{Shop: shop.GetName(), Account: goBetween.name, Note: "She may list and show it all for me."},
	})
}

// well makes a call that has to go well.
func well[Q, A any](t *testing.T, method func(context.Context, Q, ...grpc.CallOption) (A, error), as person, req Q) A {
	t.Helper()
	answer, err := method(as.as(t.Context()), req)
	if err != nil {
		t.Fatalf("%T: %v", req, err)
	}
	return answer
}

// refusal makes a call that has to be refused.
func refusal[Q, A any](t *testing.T, method func(context.Context, Q, ...grpc.CallOption) (A, error), as person, req Q) error {
	t.Helper()
	answer, err := method(as.as(t.Context()), req)
	if err == nil {
		t.Fatalf("%T was answered %v", req, answer)
	}
	return err
}

func (r *trusted) shopOf(t *testing.T, keeper person, title, place string) *pb.Shop {
	t.Helper()
	return well(t, r.shops.CreateShop, keeper, &pb.CreateShopRequest{Shop: &pb.Shop{Title: title, Place: place}}).GetShop()
}

func (r *trusted) lotOf(t *testing.T, by person, shop *pb.Shop, l *pb.Lot) *pb.Lot {
	t.Helper()
	return well(t, r.lots.CreateLot, by, &pb.CreateLotRequest{Parent: shop.GetName(), Lot: l}).GetLot()
}
