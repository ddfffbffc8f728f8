package client

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
)

// Contact is the private place of a shop, by its ID or name, or of the caller where
// there is none.
func (c *Client) Contact(ctx context.Context, shop string) (*pb.PrivatePlace, error) {
	got, err := c.Private.GetPrivatePlace(ctx, &pb.GetPrivatePlaceRequest{Name: contactName(shop)})
	return got.GetPrivatePlace(), err
}

// SetContact writes the private place of a shop, or of the caller, as a whole.
func (c *Client) SetContact(ctx context.Context, shop string, p *pb.PrivatePlace) (*pb.PrivatePlace, error) {
	p.Name = contactName(shop)
	got, err := c.Private.SetPrivatePlace(ctx, &pb.SetPrivatePlaceRequest{PrivatePlace: p})
	return got.GetPrivatePlace(), err
}

// ForgetContact takes the private place of a shop, or of the caller, away.
func (c *Client) ForgetContact(ctx context.Context, shop string) error {
	_, err := c.Private.DeletePrivatePlace(ctx, &pb.DeletePrivatePlaceRequest{Name: contactName(shop)})
	return err
}

func contactName(shop string) string {
	if shop == "" {
		return "accounts/me/privatePlace"
	}
	return ShopName(shop) + "/privatePlace"
}
