package pages_test

import (
	"encoding/xml"
	"errors"
	"io"
	"net/http"
	"os"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/pages"
)

// The code that is printed leads to the shop's page, and so do the letters beneath
// it. That codes are read as they should be, TestCodesAreRead shows.
func TestCatalogueLeadsBack(t *testing.T) {
	s := demonstrated(t)
	page := s.get(t, "/"+s.shop+"/catalogue").is(t, http.StatusOK, "Ada Marrowby", "Brandt & Lisle No. 4", "$2,200", "31 January 2027", "Press", "Wood type")
	address := s.at + "/" + s.shop
	want, err := pages.CodeOf(address)
	if err != nil {
		t.Fatal(err)
	}
	if got := attr(page.all("path")[0], "d"); got != want {
		t.Error("the code is that of another address")
	}
	page.is(t, http.StatusOK, address)
	s.get(t, strings.TrimPrefix(address, s.at)).is(t, http.StatusOK, "Marrowby")
}

// Paper comes into anybody's hands: only what may still be had is printed.
func TestCatalogueHasWhatMayBeHad(t *testing.T) {
	s := demonstrated(t)
	lots := pb.NewLotServiceClient(s.conn)
	for tag, state := range map[string]pb.LotState{"XX1": pb.LotState_LOT_STATE_DRAFT, "XX2": pb.LotState_LOT_STATE_OFFERED} {
		if _, err := lots.CreateLot(t.Context(), &pb.CreateLotRequest{Parent: s.shop, Lot: &pb.Lot{Tag: tag, Title: "Lot " + tag, State: state}}); err != nil {
			t.Fatal(err)
		}
	}
	text := s.get(t, "/"+s.shop+"/catalogue").is(t, http.StatusOK, "Lot XX2").text()
	if strings.Contains(text, "Lot XX1") {
		t.Error("a draft is printed")
	}
	style, err := os.ReadFile("style.css")
	if err != nil || !strings.Contains(string(style), "@media print") {
		t.Errorf("no style for paper: %v", err)
	}
}

func TestMap(t *testing.T) {
	s := demonstrated(t)
	s.post(t.Context(), t, "skerrow.yaml")
	page := s.get(t, "/map?q=platen&near=Toledo%2C+OH").is(t, http.StatusOK, "Dayton, OH", "Leeds", "Corwen platen jobber, 8x12")
	picture := s.get(t, attr(page.all("img")[0], "src"))
	if picture.StatusCode != http.StatusOK || picture.Header.Get("Content-Type") != "image/svg+xml" {
		t.Fatalf("the picture: %d, %v", picture.StatusCode, picture.Header)
	}
	for d := xml.NewDecoder(strings.NewReader(picture.body)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"The diamond is Toledo, OH.", "Dayton, OH"} {
		if !strings.Contains(picture.body, want) {
			t.Errorf("the picture does not say %s", want)
		}
	}
	if none := s.get(t, "/map?q=zzzz").is(t, http.StatusOK, "No lot found"); len(none.all("img")) != 0 {
		t.Error("a map of nothing")
	}
	s.get(t, "/map.svg?q=zzzz").is(t, http.StatusNotFound)
	s.get(t, "/map?near=Nowherebury").is(t, http.StatusBadRequest, "Nowherebury")
}

func TestMovingBrief(t *testing.T) {
	s := demonstrated(t)
	lot := s.get(t, "/"+s.shop+"/lots/p2").is(t, http.StatusOK)
	brief := lot.link(t, "The moving brief")
	s.get(t, brief).is(t, http.StatusOK, "Moving brief", "Brandt & Lisle No. 4", "Cautions", "It gives nobody leave", "professional riggers")
	s.get(t, brief+"?to=Pittsburgh%2C+PA").is(t, http.StatusOK, "Pittsburgh, PA")
	s.get(t, brief+"?to=Nowherebury").is(t, http.StatusBadRequest, "Nowherebury")
}
