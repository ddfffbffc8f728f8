package client

import (
	"context"
	"fmt"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/trade"
)

// Found is a shop or a lot: one of the two is not nil.
type Found struct {
	Shop *pb.Shop
	Lot  *pb.Lot
}

// NotFoundError says that nothing goes by what was typed.
type NotFoundError struct {
	// What was typed.
	What string
}

// Error says where to look.
func (e *NotFoundError) Error() string {
	return fmt.Sprintf("there is no shop or lot %q: heirpress find shows what there is, with its ID", e.What)
}

// SeveralError says that a tag is used in more shops than one.
type SeveralError struct {
	// Tag is the tag.
	Tag string
	// Lots are those that have it.
	Lots []*pb.Lot
}

// Error offers the choices.
func (e *SeveralError) Error() string {
	lines := []string{fmt.Sprintf("%d lots have the tag %q; say which:", len(e.Lots), e.Tag)}
	for _, l := range e.Lots {
		lines = append(lines, "  "+ID(l.GetName())+": "+l.GetTitle()+", "+l.GetShopTitle())
	}
	return strings.Join(lines, "\n")
}

// Lookup finds the shop or lot that a person means: by its resource name, by
// its ID ("shop" or "shop/lot"), or, for a lot, by its tag. It returns a
// *NotFoundError, or a *SeveralError for a tag that several shops use.
func (c *Client) Lookup(ctx context.Context, what string) (Found, error) {
	for _, name := range namesOf(what) {
		found, err := c.named(ctx, name)
		if err == nil || status.Code(err) != codes.NotFound {
			return found, err
		}
	}
	if trade.FoldTag(what) == "" {
		return Found{}, &NotFoundError{What: what}
	}
	lots, err := c.tagged(ctx, what)
	switch {
	case err != nil:
		return Found{}, err
	case len(lots) == 0:
		return Found{}, &NotFoundError{What: what}
	case len(lots) > 1:
		return Found{}, &SeveralError{Tag: what, Lots: lots}
	}
	return Found{Lot: lots[0]}, nil
}

// namesOf is the resource names that a person may mean by an ID.
func namesOf(what string) []string {
	if strings.HasPrefix(what, "shops/") {
		return []string{what}
	}
	shop, lot, isLot := strings.Cut(what, "/")
	switch {
	case isLot:
		return []string{"shops/" + shop + "/lots/" + strings.TrimPrefix(lot, "lots/")}
	case strings.Contains(what, " "), what == "":
		return nil
	}
	return []string{"shops/" + what}
}

func (c *Client) named(ctx context.Context, name string) (Found, error) {
	if strings.Contains(name, "/lots/") {
		got, err := c.Lots.GetLot(ctx, &pb.GetLotRequest{Name: name})
		return Found{Lot: got.GetLot()}, err
	}
	got, err := c.Shops.GetShop(ctx, &pb.GetShopRequest{Name: name})
	return Found{Shop: got.GetShop()}, err
}

// tagged is every lot with a tag, in whatever state.
func (c *Client) tagged(ctx context.Context, tag string) ([]*pb.Lot, error) {
	shops, err := c.AllShops(ctx)
	if err != nil {
		return nil, err
	}
	var lots []*pb.Lot
	for _, s := range shops {
		got, err := c.Lots.ListLots(ctx, &pb.ListLotsRequest{Parent: s.GetName(), Tag: tag})
		if err != nil {
			return nil, err
		}
		lots = append(lots, got.GetLots()...)
	}
	return lots, nil
}

// ID is the name of a shop or lot as people type it: without the words that say
// what it is of.
func ID(name string) string {
	return notice.LotID(name)
}

// WantedListName is the resource name of a wanted list, from its ID or name.
func WantedListName(id string) string {
	return "wantedLists/" + WantedListID(id)
}

// WantedListID is the ID of a wanted list, from its ID or name.
func WantedListID(name string) string { return strings.TrimPrefix(name, "wantedLists/") }

// NoticeName is the resource name of a notice, from its ID or name.
func NoticeName(id string) string { return "notices/" + strings.TrimPrefix(id, "notices/") }

// AlertName is the resource name of an alert, from its ID or name.
func AlertName(id string) string { return "alerts/" + strings.TrimPrefix(id, "alerts/") }

// LookupShop finds the shop that a person means: as Lookup does, or by its title.
func (c *Client) LookupShop(ctx context.Context, what string) (*pb.Shop, error) {
	for _, name := range namesOf(what) {
		got, err := c.Shops.GetShop(ctx, &pb.GetShopRequest{Name: name})
		if err == nil {
			return got.GetShop(), nil
		}
		if status.Code(err) != codes.NotFound {
			return nil, err
		}
	}
	titled, err := c.Shops.ListShops(ctx, &pb.ListShopsRequest{Title: what})
	if err == nil && len(titled.GetShops()) == 0 {
		err = &NotFoundError{What: what}
	}
	if err != nil {
		return nil, err
	}
	return titled.GetShops()[0], nil
}
