package client

import (
	"errors"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
)

func TestLookup(t *testing.T) {
	c := own(t)
	first := post(t, c, dayton(), woodType("W 1"), woodType("W2"))
	second := post(t, c, &pb.Shop{Title: "Another shop", Place: "Akron, OH"}, woodType("w2"))
	shop, lot := first.Shop.GetName(), first.Lots[0].Lot.GetName()
	for what, want := range map[string]string{
		shop:                              shop,
		ID(shop):                          shop,
		lot:                               lot,
		ID(lot):                           lot,
		ID(shop) + "/lots/w-1":            lot,
		"W 1":                             lot,
		" w1 ":                            lot,
		second.Lots[0].Lot.GetName():      second.Lots[0].Lot.GetName(),
		ID(second.Shop.GetName()) + "/w2": second.Lots[0].Lot.GetName(),
	} {
		found, err := c.Lookup(t.Context(), what)
		if got := found.Shop.GetName() + found.Lot.GetName(); err != nil || got != want {
			t.Errorf("%q is %s, %v; want %s", what, got, err, want)
		}
	}
	for _, what := range []string{"", " ", "W9", "no such shop", "shops/none", ID(shop) + "/w9", "a/b/c", "shops/" + ID(shop) + "/lots/", "/"} {
		var none *NotFoundError
		if found, err := c.Lookup(t.Context(), what); !errors.As(err, &none) || none.What != what {
			t.Errorf("%q is %v, %v; want a NotFoundError", what, found, err)
		}
	}
	var several *SeveralError
	if _, err := c.Lookup(t.Context(), "W2"); !errors.As(err, &several) || len(several.Lots) != 2 {
		t.Fatalf("got %v", err)
	}
	for _, l := range several.Lots {
		if line := ID(l.GetName()) + ": " + l.GetTitle() + ", " + l.GetShopTitle(); !strings.Contains(several.Error(), line) {
			t.Errorf("%q does not offer %q", several.Error(), line)
		}
	}
}

func TestNames(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{ID("shops/a"), "a"},
		{ID("shops/a/lots/b"), "a/b"},
		{WantedListName("a"), "wantedLists/a"},
		{WantedListName("wantedLists/a"), "wantedLists/a"},
		{AlertName("a"), "alerts/a"},
		{AlertName("alerts/a"), "alerts/a"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}
