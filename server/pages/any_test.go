package pages_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// Whatever is typed, every field of a search is answered: with lots, or with what is
// wrong; and the page is well made.
func TestAnythingTyped(t *testing.T) {
	s := demonstrated(t)
	names := []string{"q", "near", "within", "weight", "price", "sheet", "order", "kind", "class", "state", "region", "shop", "known", "page", "from"}
	sense := []string{
		"", "platen", "press within 300 miles of Toledo, OH", "Dayton, OH", "300 mi", "1500 lb", "$500", "12x18 in", "newest", "nearest", "wood type",
		"platen jobber", "promised", "US/OH", "1", `"wood type"`, "plat*", "\"><script>alert(1)</script>", "-1", "1e309 mi", "0 lb", "\x00", "\xff", "½",
	}
	rapid.Check(t, func(rt *rapid.T) {
		v := url.Values{}
		for range rapid.IntRange(0, 5).Draw(rt, "fields") {
			text := rapid.OneOf(rapid.SampledFrom(sense), rapid.String()).Draw(rt, "text")
			v.Add(rapid.SampledFrom(names).Draw(rt, "name"), text)
		}
		path := rapid.SampledFrom([]string{"/find", "/wants/new", "/map"}).Draw(rt, "page")
		page := s.get(t, path+"?"+v.Encode())
		if page.StatusCode != http.StatusOK && page.StatusCode != http.StatusBadRequest {
			rt.Fatalf("%s?%s: %d\n%s", path, v.Encode(), page.StatusCode, page.text())
		}
		for _, wrong := range faults(page) {
			rt.Fatalf("%s?%s: %s", path, v.Encode(), wrong)
		}
	})
}

// What people write stands on pages as text, whatever it is.
func TestWhatPeopleWriteIsText(t *testing.T) {
	s := serve(t, server.Config{})
	const evil = `<script>alert(1)</script>"' onclick=x &amp; {{.}} javascript:alert(1)`
	shop, err := pb.NewShopServiceClient(s.conn).CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: evil, Story: evil, Access: evil, CollectionName: evil, Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	s.shop = shop.GetShop().GetName()
	lot, err := pb.NewLotServiceClient(s.conn).CreateLot(t.Context(), &pb.CreateLotRequest{Parent: s.shop, Lot: &pb.Lot{
		Tag: "<b>1", Title: evil, Description: evil, Make: evil, Model: evil, Serial: evil, ConditionNote: evil, Parts: &pb.Parts{Missing: []string{evil}}, Kind: pb.Kind_KIND_PRESS,
	}})
	if err != nil {
		t.Fatal(err)
	}
	at := "/" + lot.GetLot().GetName()
	for _, path := range []string{"/", find("q", "script"), "/shops", "/" + s.shop, "/" + s.shop + "/catalogue", at, at + "/moving-brief", "/map", strings.Replace(at, "/shops/", "/keep/", 1)} {
		page := s.get(t, path).is(t, http.StatusOK, evil)
		for _, wrong := range faults(page) {
			t.Errorf("%s: %s", path, wrong)
		}
	}
	if f := s.feed(t, "/feed.atom"); f.Entries[0].Title[0] != evil {
		t.Errorf("in the feed: %q", f.Entries[0].Title[0])
	}
}
