package pages_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// A keeper moves a lot from a draft to its new home, and hears who looks.
func TestAKeeperMovesALotOn(t *testing.T) {
	p := serveAccounts(t, server.ByInvitation)
	p.get(t, "/keep").is(t, http.StatusOK, "Your token")
	shop, err := pb.NewShopServiceClient(p.conn).CreateShop(p.keeper.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "A job shop", Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	lots := pb.NewLotServiceClient(p.conn)
	made, err := lots.CreateLot(p.keeper.as(t), &pb.CreateLotRequest{Parent: shop.GetShop().GetName(), Lot: &pb.Lot{Tag: "P1", Title: "Halvorsen platen jobber", Kind: pb.Kind_KIND_PRESS, State: pb.LotState_LOT_STATE_DRAFT}})
	if err != nil {
		t.Fatal(err)
	}
	p.signIn(t, p.keeper)
	kept := p.get(t, p.get(t, "/keep").is(t, http.StatusOK, "A job shop").link(t, "A job shop")).is(t, http.StatusOK, "draft")
	path := kept.link(t, "Halvorsen")
	first := p.get(t, path).is(t, http.StatusOK, "pass the proof")
	etag := first.form(t, path).Get("etag")
	p.send(t, path, url.Values{"state": {"proofed"}, "etag": {etag}}).is(t, http.StatusOK, "proofed", "Offer it to everybody")
	p.send(t, path, url.Values{"state": {"withdrawn"}, "etag": {etag}}).is(t, http.StatusConflict, "Somebody was quicker")
	move := func(status int, state, paid string, says ...string) answer {
		t.Helper()
		return p.send(t, path, url.Values{"state": {state}, "paid": {paid}, "etag": {p.get(t, path).form(t, path).Get("etag")}}).is(t, status, says...)
	}
	move(http.StatusOK, "offered", "", "It is promised")
	move(http.StatusBadRequest, "lost", "", "lost")
	move(http.StatusConflict, "draft", "", "can become")
	move(http.StatusOK, "promised", "", "Offer it again")
	move(http.StatusBadRequest, "rehomed", "-5", "never negative")
	gone := move(http.StatusOK, "rehomed", "$850", "rehomed on")
	if len(gone.all("form")) != 1 { // signing out
		t.Error("what is rehomed can be moved on")
	}
	l, err := lots.GetLot(t.Context(), &pb.GetLotRequest{Name: made.GetLot().GetName()})
	if err != nil || l.GetLot().GetState() != pb.LotState_LOT_STATE_REHOMED || l.GetLot().GetPricePaid().GetUnits() != 850 {
		t.Errorf("the lot is %v, %v", l, err)
	}
}

// Another's shop is nobody's to look into, nor to change.
func TestAnothersShop(t *testing.T) {
	p := serveAccounts(t, server.ByInvitation)
	p.post(p.keeper.as(t), t, "marrowby.yaml")
	shop := strings.Replace(p.shop, "shops/", "/keep/", 1)
	p.get(t, shop).is(t, http.StatusOK, "Your token")
	p.signIn(t, p.seeker)
	p.get(t, "/keep").is(t, http.StatusOK, "You keep no shop here")
	p.get(t, shop).is(t, http.StatusForbidden, "not yours")
	p.get(t, shop+"/lots/p1").is(t, http.StatusForbidden, "not yours")
	p.send(t, shop+"/lots/p1", url.Values{"state": {"withdrawn"}}).is(t, http.StatusForbidden, "not yours")
	p.get(t, "/"+p.shop+"/lots/p1").is(t, http.StatusOK, "offered on")
}

// A keeper hears that somebody looks, and puts it away.
func TestAKeeperHearsWhoLooks(t *testing.T) {
	s := demonstrated(t)
	s.send(t, "/wants", s.get(t, newWant("q", "platen jobber within 300 miles of Toledo, OH")).form(t, "/wants")).is(t, http.StatusOK)
	s.get(t, "/alerts").is(t, http.StatusOK, "Fit") // by then they are matched
	keep := s.get(t, "/keep").is(t, http.StatusOK, "Somebody is looking", "At least one seeker looks for it")
	for range len(keep.all("form")) {
		s.send(t, s.get(t, "/keep").postTo(t, "/notices/"), nil).is(t, http.StatusOK)
	}
	if got := s.get(t, "/keep").text(); strings.Contains(got, "Somebody is looking") {
		t.Errorf("still: %s", got)
	}
	s.get(t, strings.Replace(s.shop, "shops/", "/keep/", 1)).is(t, http.StatusOK, "At least one seeker looks")
}
