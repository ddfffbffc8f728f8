package server_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
)

// Secrets that are shown in the wrong place, or in the wrong form, are in no error
// and in no log, at whatever level.
func TestSecretsAreInNoErrorAndNoLog(t *testing.T) {
	g := newTarget(t)
	keeper := g.callers[4]
	list := g.names[3]
	shown := func(what string) context.Context {
		return metadata.NewOutgoingContext(t.Context(), metadata.MD{"authorization": {what}})
	}
	deliver := func(d *pb.Delivery) error {
		d.Name = list + "/delivery"
		_, err := g.deliveries.SetDelivery(keeper.as(t), &pb.SetDeliveryRequest{Delivery: d})
		return err
	}
	list0 := func(ctx context.Context) error {
		_, err := g.shops.ListShops(ctx, &pb.ListShopsRequest{})
		return err
	}
	for name, err := range map[string]error{
		"a token without its mark":  list0(shown("Bearer " + keeper.secret[len("heirpress_"):])),
		"a token with more":         list0(shown("Bearer " + keeper.secret + "x")),
		"a token as a password":     list0(shown("Basic " + keeper.secret)),
		"a token twice":             list0(shown("Bearer " + keeper.secret + " " + keeper.secret)),
		"an address that is wrong":  deliver(&pb.Delivery{Email: plantedEmail + " and more"}),
		"two addresses":             deliver(&pb.Delivery{Email: plantedEmail + "," + plantedEmail}),
		"an address with a name":    deliver(&pb.Delivery{Email: "Ann <" + plantedEmail + ">"}),
		"a webhook in the clear":    deliver(&pb.Delivery{WebhookUrl: "http://example.org/" + plantedSecret, WebhookSecret: plantedSecret}),
		"a webhook with a password": deliver(&pb.Delivery{WebhookUrl: "https://a:" + plantedSecret + "@example.org/", WebhookSecret: plantedSecret}),
		"a secret that is long":     deliver(&pb.Delivery{WebhookUrl: "https://example.org/", WebhookSecret: strings.Repeat(plantedSecret, 20)}),
		"a digest there is none of": deliver(&pb.Delivery{Email: plantedEmail, Digest: 99}),
		"a token as an invitation": func() error {
			_, err := g.accounts.CreateAccount(keeper.as(t), &pb.CreateAccountRequest{Account: &pb.Account{DisplayName: "Eve"}, Invitation: keeper.secret})
			return err
		}(),
	} {
		if err == nil {
			t.Errorf("%s is taken", name)
		}
		told := fmt.Sprint(err, status.Convert(err).Details())
		for _, secret := range g.secrets {
			if strings.Contains(told, secret) {
				t.Errorf("%s: told %s", name, told)
			}
		}
	}
	said := g.log.String()
	if !strings.Contains(said, "call: failed") {
		t.Fatal("nothing is logged: the test shows nothing")
	}
	for _, secret := range g.secrets {
		if strings.Contains(said, secret) {
			t.Errorf("logged: %s", said)
		}
	}
}
