package client

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
)

// WrittenSheet is a shop's lots as a sheet.
type WrittenSheet struct {
	// Body is the file.
	Body []byte
	// Less is how many lots say more than the sheet can hold.
	Less int
}

// WriteSheet writes a shop, looked up as by Lookup, and all of its lots as a
// sheet. It returns a *NotFoundError for what is no shop.
func (c *Client) WriteSheet(ctx context.Context, what string, format sheet.Format) (WrittenSheet, error) {
	found, err := c.Lookup(ctx, what)
	if err != nil {
		return WrittenSheet{}, err
	}
	if found.Shop == nil {
		shop, _, _ := strings.Cut(ID(found.Lot.GetName()), "/")
		return WrittenSheet{}, fmt.Errorf("%s is a lot, and a sheet is of a shop: say %s", what, shop)
	}
	lots, err := c.AllLots(ctx, found.Shop.GetName())
	if err != nil {
		return WrittenSheet{}, err
	}
	var b bytes.Buffer
	if err := sheet.Write(&b, format, found.Shop, lots); err != nil {
		return WrittenSheet{}, err
	}
	less, err := less(format, b.Bytes(), lots)
	return WrittenSheet{b.Bytes(), less}, err
}

// less counts the lots of which a sheet says less than YAML would, by reading
// both back.
func less(format sheet.Format, body []byte, lots []*pb.Lot) (int, error) {
	if format == sheet.YAML {
		return 0, nil
	}
	var all bytes.Buffer
	if err := sheet.Write(&all, sheet.YAML, nil, lots); err != nil {
		return 0, err
	}
	whole, err := sheet.Read("all.yaml", &all)
	if err != nil {
		return 0, err
	}
	part, err := sheet.Read("part."+string(format), bytes.NewReader(body))
	if err != nil {
		return 0, err
	}
	kept := map[string]*pb.Lot{}
	for _, r := range part.Lots {
		kept[r.Lot.GetTag()] = r.Lot
	}
	n := 0
	for _, r := range whole.Lots {
		said := proto.CloneOf(r.Lot)
		said.State = pb.LotState_LOT_STATE_UNSPECIFIED // a sheet that is posted says nothing of it
		if !proto.Equal(kept[said.GetTag()], said) {
			n++
		}
	}
	return n, nil
}
