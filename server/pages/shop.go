package pages

import (
	"net/http"
	"net/url"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// shopPage is a shop with its story and lots.
type shopPage struct {
	*pb.Shop
	ClearBy string
	Lots    []lotLine
	// Next and First are the addresses of other pages of lots.
	Next, First string
	Print, Map  string
}

// lotsOnAPage is how many lots of a shop one page has.
const lotsOnAPage = 50

func (s *site) shop(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	name := "shops/" + v.r.PathValue("shop")
	got, err := s.shops.GetShop(ctx, &pb.GetShopRequest{Name: name})
	if err != nil {
		return err
	}
	token := v.r.URL.Query().Get("page")
	lots, err := s.lots.ListLots(ctx, &pb.ListLotsRequest{Parent: name, PageSize: lotsOnAPage, PageToken: token})
	if err != nil {
		return err
	}
	page := shopPage{Shop: got.GetShop(), ClearBy: dateText(got.GetShop().GetClearBy()), Print: "/" + name + "/catalogue", Map: "/map?shop=" + url.QueryEscape(v.r.PathValue("shop"))}
	for _, l := range lots.GetLots() {
		page.Lots = append(page.Lots, s.lineInShop(l))
	}
	if token != "" {
		page.First = "/" + name
	}
	if next := lots.GetNextPageToken(); next != "" {
		page.Next = "/" + name + "?page=" + url.QueryEscape(next)
	}
	s.show(v, http.StatusOK, "shop", view{Title: page.GetTitle(), Here: "shops", Body: page})
	return nil
}

// lineInShop is a lot on the page of its shop, which says where it is already.
func (s *site) lineInShop(l *pb.Lot) lotLine {
	line := s.line(&pb.SearchHit{Lot: l})
	line.Where = ""
	if l.GetClearByFromShop() {
		line.ClearBy = ""
	}
	return line
}

func dateText(d *pb.Date) string {
	if d == nil {
		return ""
	}
	return trade.FormatDate(d)
}

// shopsPage is a list of shops.
type shopsPage struct {
	Shops       []shopPage
	Next, First string
}

func (s *site) shopList(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	token := v.r.URL.Query().Get("page")
	got, err := s.shops.ListShops(ctx, &pb.ListShopsRequest{PageSize: lotsOnAPage, PageToken: token})
	if err != nil {
		return err
	}
	var page shopsPage
	for _, one := range got.GetShops() {
		page.Shops = append(page.Shops, shopPage{Shop: one, ClearBy: dateText(one.GetClearBy())})
	}
	if token != "" {
		page.First = "/shops"
	}
	if next := got.GetNextPageToken(); next != "" {
		page.Next = "/shops?page=" + url.QueryEscape(next)
	}
	s.show(v, http.StatusOK, "shops", view{Title: "Shops", Here: "shops", Body: page})
	return nil
}

// Href is the address of a shop's page.
func (p shopPage) Href() string { return "/" + p.GetName() }

// Count is how many lots it has, in words.
func (p shopPage) Count() string { return trade.FormatCount(int(p.GetLotCount()), "lot") }
