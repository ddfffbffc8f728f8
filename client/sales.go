package client

import (
	"context"

	"heirpress/client/worth"
)

// Rehomings are the lots of all shops that went to their new homes for a price
// that the parties cared to say.
func (c *Client) Rehomings(ctx context.Context) ([]worth.Sale, error) {
	shops, err := c.AllShops(ctx)
	if err != nil {
		return nil, err
	}
	var sales []worth.Sale
	for _, s := range shops {
		lots, err := c.AllLots(ctx, s.GetName())
		if err != nil {
			return nil, err
		}
		for _, l := range lots {
			if sale, ok := worth.Rehomed(l, s.GetName()); ok {
				sales = append(sales, sale)
			}
		}
	}
	return sales, nil
}
