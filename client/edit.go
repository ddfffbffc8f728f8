package client

import (
	"context"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Edit changes a shop or a lot, looked up as by Lookup. Every assignment is
// FIELD=VALUE, with the fields of a sheet and their values as people write
// them; for a lot also state, paid and clear_by. An empty value takes back what
// was said. Either all assignments are made or none. What comes back is the
// shop or lot after it.
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
			return &AssignmentError{Assignment: a, Message: "write it as FIELD=VALUE, as price=$900"}
		}
		if err := one(strings.TrimSpace(field), strings.TrimSpace(value)); err != nil {
			return &AssignmentError{Assignment: a, Message: err.Error()}
		}
	}
	return nil
}

func (c *Client) editLot(ctx context.Context, old *pb.Lot, assignments []string, currency string) (Found, error) {
	lot := proto.CloneOf(old)
	if lot.GetClearByFromShop() {
		lot.ClearBy = nil
	}
	err := assign(assignments, func(field, value string) error { return setLot(lot, field, value, currency) })
	if err != nil {
		return Found{}, err
	}
	if lot.GetClearByFromShop() && lot.GetClearBy() == nil {
		lot.ClearBy = old.GetClearBy()
	}
	mask := unlike(old, lot, append([]string{"tag", "state", "price_paid"}, postedFields...)...)
	if len(mask.GetPaths()) == 0 {
		return Found{Lot: old}, nil
	}
	got, err := c.Lots.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: lot, UpdateMask: mask})
	return Found{Lot: got.GetLot()}, err
}

func setLot(lot *pb.Lot, field, value, currency string) (err error) {
	switch strings.ToLower(strings.ReplaceAll(field, "-", "_")) {
	case "state":
		lot.State, err = trade.ParseState(value)
	case "paid", "price_paid":
		lot.PricePaid, err = optional(value, func(t string) (*pb.Money, error) { return trade.ParseMoney(t, currency) })
	case "clear_by", "clear by":
		lot.ClearBy, err = optional(value, trade.ParseDate)
	default:
		err = sheet.SetLot(lot, field, value, sheet.Currency(currency))
	}
	return err
}

// optional reads a value, and nothing from an empty one.
func optional[T any](text string, read func(string) (*T, error)) (*T, error) {
	if text == "" {
		return nil, nil
	}
	return read(text)
}

func (c *Client) editShop(ctx context.Context, old *pb.Shop, assignments []string) (Found, error) {
	shop := proto.CloneOf(old)
	err := assign(assignments, func(field, value string) error { return sheet.SetShop(shop, field, value) })
	if err != nil {
		return Found{}, err
	}
	mask := unlike(old, shop, append([]string{"title"}, postedShopFields...)...)
	if len(mask.GetPaths()) == 0 {
		return Found{Shop: old}, nil
	}
	got, err := c.Shops.UpdateShop(ctx, &pb.UpdateShopRequest{Shop: shop, UpdateMask: mask})
	return Found{Shop: got.GetShop()}, err
}

// unlike names the fields in which two messages differ.
func unlike(a, b proto.Message, fields ...string) *fieldmaskpb.FieldMask {
	mask := new(fieldmaskpb.FieldMask)
	x, y := a.ProtoReflect(), b.ProtoReflect()
	for _, name := range fields {
		field := x.Descriptor().Fields().ByName(protoreflect.Name(name))
		if x.Has(field) != y.Has(field) || !x.Get(field).Equal(y.Get(field)) {
			mask.Paths = append(mask.Paths, name)
		}
	}
	return mask
}
