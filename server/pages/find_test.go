package pages_test

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func find(pairs ...string) string {
	v := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return "/find?" + v.Encode()
}

func TestFindAsPeopleType(t *testing.T) {
	s := demonstrated(t)
	front := s.get(t, "/").is(t, http.StatusOK, "Lately posted", "What are you looking for?")
	if len(front.titles()) == 0 {
		t.Error("the front page shows no lots")
	}
	all := s.get(t, find("q", "platen jobber within 200 miles of Toledo, OH under 2000 lb")).is(t, http.StatusOK,
		"Understood as", "within 200 mi by road of Toledo, OH", "by road (estimated", "clear by 31 January 2027", "Halvorsen KR15")
	if strings.Contains(all.text(), "No. 4") {
		t.Error("a lot of 2,450 lb is under 2,000 lb")
	}
	if len(all.all("mark")) == 0 {
		t.Error("nothing is marked")
	}
	// The same in fields of their own.
	fields := s.get(t, find("q", "platen jobber", "near", "Toledo, OH", "within", "200 miles", "weight", "2000 lb")).is(t, http.StatusOK)
	if !slices.Equal(all.titles(), fields.titles()) {
		t.Errorf("%q in a sentence, %q in fields", all.titles(), fields.titles())
	}
	if got := attr(first(fields, "input", "near"), "value"); got != "Toledo, OH" {
		t.Errorf("the form forgets the town: %q", got)
	}
}

func first(a answer, element, name string) *htmlNode {
	for _, n := range a.all(element) {
		if attr(n, "name") == name {
			return n
		}
	}
	return nil
}

func TestWhatIsWrongStandsAtItsField(t *testing.T) {
	s := demonstrated(t)
	for _, c := range []struct{ field, value, also, says string }{
		{"near", "Nowherebury", "", "Nowherebury"},
		{"within", "far", "Dayton, OH", "300 mi or 480 km"},
		{"within", "300 mi", "", "from where"},
		{"weight", "heavy", "", "heavy"},
		{"price", "-5", "", "never negative"},
		{"sheet", "big", "", "big"},
		{"order", "worst", "", "nearest"},
		{"kind", "boat", "", "boat"},
	} {
		pairs := []string{c.field, c.value}
		if c.also != "" {
			pairs = append(pairs, "near", c.also)
		}
		got := s.get(t, find(pairs...)).is(t, http.StatusBadRequest, c.says)
		var wrong []string
		for _, name := range []string{"span", "p"} {
			for _, n := range got.all(name) {
				if attr(n, "class") == "wrong" {
					wrong = append(wrong, textOf(n))
				}
			}
		}
		if len(wrong) != 1 {
			t.Errorf("%s=%s: said %q", c.field, c.value, wrong)
		}
	}
}

// Everything that is wrong is told at once.
func TestAllThatIsWrong(t *testing.T) {
	s := demonstrated(t)
	s.get(t, find("near", "Nowherebury", "weight", "heavy", "within", "far")).is(t, http.StatusBadRequest, "Nowherebury", "\"heavy\"", "300 mi or 480 km")
}

func TestFacetsNarrowAndComeOffAgain(t *testing.T) {
	s := demonstrated(t)
	all := s.get(t, "/find").is(t, http.StatusOK)
	presses := s.get(t, all.link(t, "press (")).is(t, http.StatusOK, "take off")
	for _, n := range presses.titles() {
		if slices.Contains(s.get(t, find("kind", "wood type")).titles(), n) {
			t.Errorf("%s is no press", n)
		}
	}
	// A facet tells how many there are.
	var count int
	for _, n := range all.all("a") {
		if _, err := fmt.Sscanf(textOf(n), "press (%d)", &count); err == nil {
			break
		}
	}
	presses.is(t, http.StatusOK, fmt.Sprintf("%d lots found", count))
	if off := presses.link(t, "take off"); off != "/find" {
		t.Errorf("taken off: %s", off)
	}
}

func TestPagesAreStable(t *testing.T) {
	s := demonstrated(t)
	want := map[string]int{}
	total := 0
	path := find("near", "Toledo, OH", "order", "nearest")
	for path != "" {
		page := s.get(t, path).is(t, http.StatusOK)
		for _, n := range page.all("h3") {
			if n.Parent.Data == "li" {
				want[attr(n.FirstChild, "href")]++
				total++
			}
		}
		path = ""
		for _, n := range page.all("a") {
			if attr(n, "rel") == "next" {
				path = attr(n, "href")
			}
		}
		if total == 20 { // Somebody posts in between.
			_, err := pb.NewLotServiceClient(s.conn).CreateLot(t.Context(), &pb.CreateLotRequest{Parent: s.shop, Lot: &pb.Lot{Tag: "NEW", Title: "A stone", Kind: pb.Kind_KIND_STONES}})
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	for href, n := range want {
		if n != 1 {
			t.Errorf("%s was shown %d times", href, n)
		}
	}
	if total < 40 {
		t.Errorf("only %d lots on all pages", total)
	}
	s.get(t, find("q", "press", "page", "made-up")).is(t, http.StatusBadRequest, "Begin with the first")
}

func TestMoreIsOffered(t *testing.T) {
	s := demonstrated(t)
	s.get(t, find("q", "platten")).is(t, http.StatusOK, "taken for", "Halvorsen")
	none := s.get(t, find("q", "platen jobber", "near", "Pittsburgh, PA", "within", "20 mi")).is(t, http.StatusOK, "No lot found", "Asked less strictly")
	for _, n := range none.all("section") {
		if attr(n, "aria-labelledby") != "relax" {
			continue
		}
		for d := range n.Descendants() {
			if d.Type == htmlElement && d.Data == "a" {
				var more int
				fmt.Sscanf(textOf(d), "%d more", &more)
				if got := s.get(t, attr(d, "href")).is(t, http.StatusOK); more == 0 || len(got.titles()) != min(more, 20) {
					t.Errorf("%s leads to %d lots", textOf(d), len(got.titles()))
				}
			}
		}
	}
}

func TestAShopAndItsLots(t *testing.T) {
	s := demonstrated(t)
	shops := s.get(t, "/shops").is(t, http.StatusOK, "Marrowby Job Printing", "Dayton, OH", "clear by 31 January 2027")
	shop := s.get(t, shops.link(t, "Marrowby")).is(t, http.StatusOK, "Ada Marrowby set her first line", "Alley door 62 in", "The Marrowby Collection", "Halvorsen KR15 platen jobber, 10x15")
	lot := s.get(t, shop.link(t, "Halvorsen KR15")).is(t, http.StatusOK,
		"1,540 lb, weighed (699 kg, weighed)", "Chase, inside", "10 x 15 in", "$1,800", "How complete it is", "Cautions",
		"It gives nobody leave to move anything", "31 January 2027")
	s.get(t, shop.link(t, "Corwen platen jobber, 8x12")).is(t, http.StatusOK, "Worth asking", "Somewhere between", "estimated")
	if h := lot.all("h1"); len(h) != 1 || textOf(h[0]) != "Halvorsen KR15 platen jobber, 10x15" {
		t.Errorf("the heading is %v", h)
	}
	s.get(t, "/shops/none").is(t, http.StatusNotFound, "no such page")
	s.get(t, "/"+s.shop+"/lots/none").is(t, http.StatusNotFound, "no such page")
	s.get(t, "/nothing/here").is(t, http.StatusNotFound, "no such page")
}

// A draft is shown to nobody whom the registry does not tell of it.
func TestDraftsStayHidden(t *testing.T) {
	s := serveAccounts(t, server.ByInvitation)
	shop, err := pb.NewShopServiceClient(s.conn).CreateShop(s.keeper.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "A hidden shop", Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	made, err := pb.NewLotServiceClient(s.conn).CreateLot(s.keeper.as(t), &pb.CreateLotRequest{Parent: shop.GetShop().GetName(), Lot: &pb.Lot{Tag: "1", Title: "Unproofed", State: pb.LotState_LOT_STATE_DRAFT}})
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/" + shop.GetShop().GetName(), "/" + made.GetLot().GetName()} {
		s.get(t, path).is(t, http.StatusNotFound)
	}
	for _, path := range []string{"/", "/find", "/shops"} {
		if got := s.get(t, path).is(t, http.StatusOK).text(); strings.Contains(got, "Unproofed") || strings.Contains(got, "A hidden shop") {
			t.Errorf("%s tells of a draft", path)
		}
	}
}
