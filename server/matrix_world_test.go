package server_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
)

// A registry with accounts under test.
type world struct {
	*rig
	accounts pb.AccountServiceClient
	interest pb.InterestServiceClient
	roads    pb.RoadServiceClient
	operator somebody
	made     int
}

// somebody is an account and the secret of its token; the zero value has none.
type somebody struct{ account, token, secret string }

// as is a context of a call by somebody, with time enough.
func (s somebody) as(t testing.TB) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	t.Cleanup(cancel)
	return s.in(ctx)
}

func (s somebody) in(ctx context.Context) context.Context {
	shown := metadata.MD{}
	if s.secret != "" {
		shown.Set("authorization", "Bearer "+s.secret)
	}
	return metadata.NewOutgoingContext(ctx, shown)
}

// openAccounts opens a registry that has accounts and an operator.
func openAccounts(t *testing.T, how server.Accounts) *world {
	return openAccountsWith(t, server.Config{Accounts: how, Limits: server.Limits{PerSecond: 1e6, Burst: 1e6}})
}

func openAccountsWith(t *testing.T, c server.Config) *world {
	t.Helper()
	c.Dir = t.TempDir()
	operator := newOperator(t, c.Dir)
	r := openWith(t, c)
	return &world{
		rig: r, operator: operator, accounts: pb.NewAccountServiceClient(r.conn),
		interest: pb.NewInterestServiceClient(r.conn), roads: pb.NewRoadServiceClient(r.conn),
	}
}

// newOperator opens an operator's account as heirpressd does, in the store itself.
func newOperator(t testing.TB, dir string) somebody {
	t.Helper()
	s, err := server.OpenStore(t.Context(), dir, "")
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	a, secret, err := access.NewOperator(t.Context(), s, "Olive the operator")
	if err != nil {
		t.Fatal(err)
	}
	return somebody{account: a.GetName(), secret: secret}
}

// name is a name that nothing has yet.
func (w *world) name(what string) string {
	w.made++
	return fmt.Sprint(what, " ", w.made)
}

// invite opens an active account.
func (w *world) invite(t testing.TB) somebody {
	t.Helper()
	invited, err := w.accounts.CreateInvitation(w.operator.as(t), &pb.CreateInvitationRequest{})
	if err != nil {
		t.Fatal(err)
	}
	return w.join(t, invited.GetInvitation())
}

func (w *world) join(t testing.TB, invitation string) somebody {
	t.Helper()
	got, err := w.accounts.CreateAccount(somebody{}.as(t), &pb.CreateAccountRequest{
		Account: &pb.Account{DisplayName: w.name("Member")}, Invitation: invitation,
	})
	if err != nil {
		t.Fatal(err)
	}
	return somebody{account: got.GetAccount().GetName(), token: got.GetToken().GetName(), secret: got.GetSecret()}
}

// shopOf makes a shop that somebody keeps.
func (w *world) shopOf(t testing.TB, keeper somebody) *pb.Shop {
	t.Helper()
	made, err := w.shops.CreateShop(keeper.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: w.name("Shop"), Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	return made.GetShop()
}

func (w *world) delegate(t testing.TB, keeper, goBetween somebody, shop string) *pb.Delegation {
	t.Helper()
	made, err := w.accounts.CreateDelegation(keeper.as(t), &pb.CreateDelegationRequest{
		Delegation: &pb.Delegation{Shop: shop, Account: goBetween.account, Note: "speaks for me"},
	})
	if err != nil {
		t.Fatal(err)
	}
	return made.GetDelegation()
}

// ways are how a new lot comes to a state.
var ways = map[pb.LotState][]pb.LotState{
	pb.LotState_LOT_STATE_DRAFT:     {pb.LotState_LOT_STATE_DRAFT},
	pb.LotState_LOT_STATE_PROOFED:   {pb.LotState_LOT_STATE_DRAFT, pb.LotState_LOT_STATE_PROOFED},
	pb.LotState_LOT_STATE_OFFERED:   {pb.LotState_LOT_STATE_OFFERED},
	pb.LotState_LOT_STATE_PROMISED:  {pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_PROMISED},
	pb.LotState_LOT_STATE_REHOMED:   {pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_REHOMED},
	pb.LotState_LOT_STATE_WITHDRAWN: {pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_WITHDRAWN},
}

// lotIn makes a lot that has come to a state.
func (w *world) lotIn(t testing.TB, keeper somebody, shop string, state pb.LotState) (*pb.Lot, uint64) {
	t.Helper()
	lot := platen(w.name("p"))
	lot.State = ways[state][0]
	made, err := w.lots.CreateLot(keeper.as(t), &pb.CreateLotRequest{Parent: shop, Lot: lot})
	if err != nil {
		t.Fatal(err)
	}
	lot, change := made.GetLot(), made.GetChange()
	for _, next := range ways[state][1:] {
		moved, err := w.lots.UpdateLot(keeper.as(t), &pb.UpdateLotRequest{Lot: &pb.Lot{Name: lot.GetName(), State: next}, UpdateMask: maskOf("state")})
		if err != nil {
			t.Fatal(err)
		}
		lot, change = moved.GetLot(), moved.GetChange()
	}
	return lot, change
}

// listOf lodges a wanted list of somebody's.
func (w *world) listOf(t testing.TB, seeker somebody, filter *pb.LotFilter) (string, uint64) {
	t.Helper()
	made, err := w.wants.CreateWantedList(seeker.as(t), &pb.CreateWantedListRequest{WantedList: &pb.WantedList{
		Title: w.name("List"), Place: "Dayton, OH", Wants: []*pb.Want{{Title: "A platen", Filter: filter}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	return made.GetWantedList().GetName(), made.GetChange()
}

func maskOf(fields ...string) *fieldmaskpb.FieldMask { return &fieldmaskpb.FieldMask{Paths: fields} }
