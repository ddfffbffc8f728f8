package pages_test

import (
	"context"
	"testing"

	"golang.org/x/net/html"
	"google.golang.org/grpc/metadata"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
)

type htmlNode = html.Node

const htmlElement = html.ElementNode

// somebody has an account.
type somebody struct{ account, secret string }

func (p somebody) as(t *testing.T) context.Context {
	return metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer "+p.secret)
}

// peopled is a registry with accounts.
type peopled struct {
	*served
	operator, keeper, seeker somebody
}

func serveAccounts(t *testing.T, how server.Accounts) *peopled {
	return serveAccountsWith(t, server.Config{Accounts: how}, server.ServeConfig{})
}

func serveAccountsWith(t *testing.T, c server.Config, with server.ServeConfig) *peopled {
	t.Helper()
	c.Dir = t.TempDir()
	store, err := server.OpenStore(t.Context(), c.Dir, "")
	if err != nil {
		t.Fatal(err)
	}
	a, secret, err := access.NewOperator(t.Context(), store, "Olive the operator")
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	p := &peopled{served: serveIn(t, c, with), operator: somebody{a.GetName(), secret}}
	p.keeper, p.seeker = p.invite(t, "Ada"), p.invite(t, "Ben")
	return p
}

func (p *peopled) invite(t *testing.T, name string) somebody {
	t.Helper()
	accounts := pb.NewAccountServiceClient(p.conn)
	invited, err := accounts.CreateInvitation(p.operator.as(t), &pb.CreateInvitationRequest{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := accounts.CreateAccount(t.Context(), &pb.CreateAccountRequest{Account: &pb.Account{DisplayName: name}, Invitation: invited.GetInvitation()})
	if err != nil {
		t.Fatal(err)
	}
	return somebody{got.GetAccount().GetName(), got.GetSecret()}
}
