package client

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
)

// Delivery is where the alerts of a wanted list are sent, with what of it the
// registry does not do. The list goes by its ID or its name.
func (c *Client) Delivery(ctx context.Context, list string) (*pb.Delivery, []string, error) {
	got, err := c.Deliveries.GetDelivery(ctx, &pb.GetDeliveryRequest{Name: deliveryName(list)})
	return got.GetDelivery(), got.GetNotes(), err
}

// Deliver says where the alerts of a wanted list are to be sent, as a whole.
func (c *Client) Deliver(ctx context.Context, list string, d *pb.Delivery) (*pb.Delivery, []string, error) {
	d.Name = deliveryName(list)
	got, err := c.Deliveries.SetDelivery(ctx, &pb.SetDeliveryRequest{Delivery: d})
	return got.GetDelivery(), got.GetNotes(), err
}

// KeepToInbox has the alerts of a wanted list sent nowhere, and the addresses
// forgotten.
func (c *Client) KeepToInbox(ctx context.Context, list string) error {
	_, err := c.Deliveries.DeleteDelivery(ctx, &pb.DeleteDeliveryRequest{Name: deliveryName(list)})
	return err
}

func deliveryName(list string) string { return WantedListName(list) + "/delivery" }
