//go:build unix

package server_test

import (
	"fmt"
	"testing"

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
			interest(t, d, shop.GetName(), change, 1, made)
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

// interest asks a daemon who looks for a shop's lots: each can tell, whichever
// runs the matcher.
func interest(t *testing.T, d *rig, shop string, change uint64, seekers int32, lots int) {
	t.Helper()
	got, err := pb.NewInterestServiceClient(d.conn).ListInterest(t.Context(), &pb.ListInterestRequest{Parent: shop, AtLeastChange: change, PageSize: 1000})
	if err != nil || len(got.GetInterests()) != lots {
		t.Fatalf("who looks for the lots: %v, %v; want %d lots", got, err, lots)
	}
	for _, i := range got.GetInterests() {
		if i.GetSeekers() != seekers {
			t.Errorf("%d look for %s, want %d", i.GetSeekers(), i.GetTag(), seekers)
		}
	}
}

// TestSharedInterest: who looks for a lot is told by every daemon alike, as wants
// come and go, and as the matcher changes hands.
func TestSharedInterest(t *testing.T) {
	address := pgtest.Shared(t).Schema()
	daemons := []*rig{share(t, address), share(t, address), share(t, address)}
	shop := daemons[0].shop(t, "The looked for", "Dayton, OH")
	daemons[0].lot(t, shop, platen("1"))
	for len(daemons) > 0 {
		for i, d := range daemons {
			list := wanting(fmt.Sprint("Seeker ", len(daemons), i), "platen")
			made, err := d.wants.CreateWantedList(t.Context(), &pb.CreateWantedListRequest{WantedList: list})
			if err != nil {
				t.Fatal(err)
			}
			for _, other := range daemons {
				interest(t, other, shop.GetName(), made.GetChange(), 1, 1)
			}
			gone, err := d.wants.DeleteWantedList(t.Context(), &pb.DeleteWantedListRequest{Name: made.GetWantedList().GetName()})
			if err != nil {
				t.Fatal(err)
			}
			for _, other := range daemons {
				interest(t, other, shop.GetName(), gone.GetChange(), 0, 0)
			}
		}
		daemons[0].stop()
		daemons = daemons[1:]
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
