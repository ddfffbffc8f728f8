//go:build unix

package server_test

import (
	"fmt"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/store/postgres/pgtest"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

// share opens another daemon's registry on a database.
func share(t *testing.T, address string) *rig {
	t.Helper()
	return openWith(t, server.Config{Dir: t.TempDir(), Store: address})
}

// TestSharedStore: what is written by one daemon is found by another that is
// asked for no less, and alerted once, whichever runs the matcher and however
// that changes hands.
func TestSharedStore(t *testing.T) {
	address := pgtest.Shared(t).Schema()
	daemons := []*rig{share(t, address), share(t, address), share(t, address)}
	first := daemons[0]
	first.lodge(t, wanting("Two Stoats", "platen"))
	shop := first.shop(t, "The shared", "Dayton, OH")
	made := 0
	for len(daemons) > 0 {
		for i, d := range daemons {
			_, change := d.lot(t, shop, platen(fmt.Sprint(made)))
			made++
			other := daemons[(i+1)%len(daemons)]
			if n := len(other.find(t, &pb.LotFilter{Words: "platen"}, change)); n != made {
				t.Errorf("another daemon finds %d lots of %d", n, made)
			}
			interestOrNone(t, d, shop.GetName())
			alerted := map[string]int{}
			for _, a := range other.inbox(t, change) {
				alerted[a.GetLot().GetName()]++
			}
			if len(alerted) != made {
				t.Errorf("another daemon's inbox has %d lots of %d", len(alerted), made)
			}
			for name, n := range alerted {
				if n != 1 {
					t.Errorf("%s was alerted %d times", name, n)
				}
			}
		}
		daemons[0].stop()
		daemons = daemons[1:]
	}
}

// interestOrNone asks a daemon who looks for a shop's lots: one that does not hold
// the wants says so, and never that nobody does.
func interestOrNone(t *testing.T, d *rig, shop string) {
	t.Helper()
	got, err := pb.NewInterestServiceClient(d.conn).ListInterest(t.Context(), &pb.ListInterestRequest{Parent: shop})
	if status.Code(err) == codes.Unavailable {
		return
	}
	if err != nil || len(got.GetInterests()) == 0 {
		t.Errorf("who looks for the lots: %v, %v", got, err)
	}
}

// TestSharedTokens: a page begun on one daemon is continued on another.
func TestSharedTokens(t *testing.T) {
	address := pgtest.Shared(t).Schema()
	one, other := share(t, address), share(t, address)
	one.shop(t, "A", "Dayton, OH")
	one.shop(t, "B", "Dayton, OH")
	page, err := one.shops.ListShops(t.Context(), &pb.ListShopsRequest{PageSize: 1})
	if err != nil {
		t.Fatal(err)
	}
	rest, err := other.shops.ListShops(t.Context(), &pb.ListShopsRequest{PageSize: 1, PageToken: page.GetNextPageToken()})
	if err != nil || len(rest.GetShops()) != 1 || rest.GetShops()[0].GetTitle() != "B" {
		t.Errorf("%v, %v", rest, err)
	}
}
