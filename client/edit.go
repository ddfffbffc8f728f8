package client

import (
	"context"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
)

// Edit changes a shop or a lot, looked up as by Lookup. Every assignment is
// FIELD=VALUE, with the keys of a sheet and their values as people write them;
// an empty value takes back what was said. Either all assignments are made or
// none. What comes back is the shop or lot after it.
func (c *Client) Edit(ctx context.Context, what string, assignments []string, currency string) (Found, error) {
	found, err := c.Lookup(ctx, what)
	if err != nil {
		return Found{}, err
	}
	if found.Lot != nil {
		return c.editLot(ctx, found.Lot, assignments, currency)
	}
	return c.editShop(ctx, found.Shop, assignments)
}

// AssignmentError says that an assignment cannot be made.
type AssignmentError struct {
	// Assignment is what was typed.
	Assignment string
	// Message says what would be right.
	Message string
}

// Error names the assignment.
func (e *AssignmentError) Error() string { return fmt.Sprintf("%s: %s", e.Assignment, e.Message) }

// assign makes assignments with a function that makes one.
func assign(assignments []string, one func(field, value string) error) error {
	for _, a := range assignments {
		field, value, ok := strings.Cut(a, "=")
		if !ok {
			return &AssignmentError{Assignment: a, Message: "write it as FIELD=VALUE, as price=900"}
		}
		if err := one(strings.TrimSpace(field), strings.TrimSpace(value)); err != nil {
			return &AssignmentError{Assignment: a, Message: err.Error()}
		}
	}
	return nil
}

func (c *Client) editLot(ctx context.Context, old *pb.Lot, assignments []string, currency string) (Found, error) {
	// What a sheet makes of the lot as it is, is no edit of it.
	before, err := sheet.SetLot(old, "tag", old.GetTag())
	if err != nil {
		return Found{}, err
	}
	lot := before
	err = assign(assignments, func(field, value string) (err error) {
		lot, err = sheet.SetLot(lot, orPaid(field), value, sheet.Currency(currency))
		return err
	})
	if err != nil {
		return Found{}, err
	}
	mask := unlike(before, lot, append([]string{"tag", "state", "price_paid"}, postedFields...)...)
	if len(mask.GetPaths()) == 0 {
		return Found{Lot: old}, nil
	}
	lot.Name, lot.Etag = old.GetName(), old.GetEtag()
	got, err := c.Lots.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: lot, UpdateMask: mask})
	return Found{Lot: got.GetLot()}, err
}

// orPaid takes the short word for the price that was paid.
func orPaid(field string) string {
	if strings.EqualFold(field, "paid") {
		return "price_paid"
	}
	return field
}

func (c *Client) editShop(ctx context.Context, old *pb.Shop, assignments []string) (Found, error) {
	shop := proto.CloneOf(old)
	err := assign(assignments, func(field, value string) (err error) {
		shop, err = sheet.SetShop(shop, field, value)
		return err
	})
	if err != nil {
		return Found{}, err
	}
	mask := unlike(old, shop, append([]string{"title"}, postedShopFields...)...)
	if len(mask.GetPaths()) == 0 {
		return Found{Shop: old}, nil
	}
	shop.Name, shop.Etag = old.GetName(), old.GetEtag()
	got, err := c.Shops.UpdateShop(ctx, &pb.UpdateShopRequest{Shop: shop, UpdateMask: mask})
	return Found{Shop: got.GetShop()}, err
}
