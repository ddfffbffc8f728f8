package pages_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/color"
	"io"
	"net/http"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	zxqr "github.com/makiuchi-d/gozxing/qrcode"
	"golang.org/x/net/html"

	pb "heirpress/proto/heirpress/v1"
)

// The code that is printed is read with another program, a port of ZXing.
func TestCatalogueIsFoundAgainByItsCode(t *testing.T) {
	s := demonstrated(t)
	page := s.get(t, "/"+s.shop+"/catalogue").is(t, http.StatusOK, "Ada Marrowby", "Brandt & Lisle No. 4", "$2,200", "31 January 2027", "Press", "Wood type")
	drawing := page.all("svg")[0]
	size, err := strconv.Atoi(strings.Fields(attr(drawing, "viewbox") + attr(drawing, "viewBox"))[2])
	if err != nil {
		t.Fatal(err)
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(raster(t, drawing, size))
	if err != nil {
		t.Fatal(err)
	}
	got, err := zxqr.NewQRCodeReader().Decode(bitmap, nil)
	if err != nil {
		t.Fatal(err)
	}
	if want := s.at + "/" + s.shop; got.GetText() != want {
		t.Fatalf("the code says %q, not %q", got.GetText(), want)
	}
	s.get(t, strings.TrimPrefix(got.GetText(), s.at)).is(t, http.StatusOK, "Marrowby")
	page.is(t, http.StatusOK, got.GetText()) // and in letters
}

// raster draws the path of a code, eight points a module.
func raster(t *testing.T, drawing *html.Node, size int) image.Image {
	t.Helper()
	const each = 8
	img := image.NewGray(image.Rect(0, 0, size*each, size*each))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for n := range drawing.Descendants() {
		if n.Data != "path" {
			continue
		}
		for _, part := range strings.Split(strings.Trim(attr(n, "d"), "M"), "M") {
			var x, y int
			if _, err := fmt.Sscanf(part, "%d %dh1v1h-1z", &x, &y); err != nil {
				t.Fatal(err)
			}
			for i := range each * each {
				img.SetGray(x*each+i%each, y*each+i/each, color.Gray{})
			}
		}
	}
	return img
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
