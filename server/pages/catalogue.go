package pages

import (
	"context"
	"fmt"
	"net/http"
	"strings"

	"github.com/boombuler/barcode/qr"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

// cataloguePage is a shop's catalogue, to print.
type cataloguePage struct {
	*pb.Shop
	ClearBy, Count string
	Kinds          []kindLots
	// Address is that of the shop's page, and Code the same as a QR code.
	Address string
	Code    code
}

// kindLots are the lots of one kind.
type kindLots struct {
	Kind string
	Lots []entryLine
}

// entryLine is a lot in a catalogue.
type entryLine struct{ Tag, Title, Size, Facts, ClearBy string }

// mostInCatalogue is as many lots as a shop is posted with at once.
const mostInCatalogue = 5000

func (s *site) catalogue(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	name := "shops/" + v.r.PathValue("shop")
	got, err := s.shops.GetShop(ctx, &pb.GetShopRequest{Name: name})
	if err != nil {
		return err
	}
	lots, err := s.lotsToPrint(ctx, name)
	if err != nil {
		return err
	}
	page := cataloguePage{
		Shop: got.GetShop(), ClearBy: dateText(got.GetShop().GetClearBy()), Count: trade.FormatCount(len(lots), "lot"),
		Kinds: byKind(lots), Address: s.base(v) + "/" + name,
	}
	if page.Code, err = codeOf(page.Address); err != nil {
		return err
	}
	s.show(v, http.StatusOK, "catalogue", view{Title: "Catalogue: " + page.GetTitle(), Here: "shops", Body: page})
	return nil
}

// lotsToPrint are the lots of a shop that may still be had: a sheet of paper may come
// into anybody's hands, so what only the keeper sees is not among them.
func (s *site) lotsToPrint(ctx context.Context, shop string) (all []*pb.Lot, err error) {
	req := &pb.ListLotsRequest{Parent: shop, PageSize: 1000}
	for {
		got, err := s.lots.ListLots(ctx, req)
		if err != nil {
			return nil, err
		}
		for _, l := range got.GetLots() {
			if st := l.GetState(); st == pb.LotState_LOT_STATE_OFFERED || st == pb.LotState_LOT_STATE_PROMISED {
				all = append(all, l)
			}
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" || len(all) >= mostInCatalogue {
			return all, nil
		}
	}
}

func byKind(lots []*pb.Lot) (all []kindLots) {
	of := map[pb.Kind][]entryLine{}
	for _, l := range lots {
		e := entryLine{Tag: l.GetTag(), Title: l.GetTitle(), Size: l.GetSizeAsWritten(), Facts: notice.Facts(l, trade.US)}
		if !l.GetClearByFromShop() {
			e.ClearBy = notice.ClearBy(l)
		}
		of[l.GetKind()] = append(of[l.GetKind()], e)
	}
	for _, k := range trade.Kinds() {
		if len(of[k]) > 0 {
			all = append(all, kindLots{sentenceCase(trade.KindWord(k)), of[k]})
		}
	}
	return all
}

// code is a QR code as a drawing: so many modules wide, and a path of the dark ones.
type code struct {
	Size int
	Path string
}

// quiet is the room about a code, in modules, that ISO/IEC 18004 asks for (from
// memory).
const quiet = 4

// codeOf is the QR code of a text, of which 15 % may be lost.
func codeOf(text string) (code, error) {
	drawn, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return code{}, fmt.Errorf("no QR code of %q: %w", text, err)
	}
	b := drawn.Bounds()
	var path strings.Builder
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if red, _, _, _ := drawn.At(x, y).RGBA(); red == 0 {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x-b.Min.X+quiet, y-b.Min.Y+quiet)
			}
		}
	}
	return code{b.Dx() + 2*quiet, path.String()}, nil
}
