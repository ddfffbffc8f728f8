package client

import (
	"context"
	"crypto/rand"
	"os"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	"heirpress/client/sheet"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/score"
)

// ReadWanted reads a wanted list from a YAML file, names its wants and looks its
// town up. Prices that name no currency are in the one given.
func ReadWanted(path, currency string) (*pb.WantedList, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	list, err := sheet.ReadWanted(path, file, sheet.Currency(currency))
	if err != nil {
		return nil, err
	}
	score.NameWants(list.GetWants())
	return list, Locate(list)
}

// Lodge puts a wanted list up, or, if there is one of that title, in its place.
// The outcome says which.
func (c *Client) Lodge(ctx context.Context, list *pb.WantedList) (lodged *pb.WantedList, outcome string, err error) {
	found, err := c.Wants.ListWantedLists(ctx, &pb.ListWantedListsRequest{Title: list.GetTitle()})
	if err != nil {
		return nil, "", err
	}
	if len(found.GetWantedLists()) == 0 {
		made, err := c.Wants.CreateWantedList(ctx, &pb.CreateWantedListRequest{WantedList: list, RequestId: rand.Text()})
		return made.GetWantedList(), "lodged", err
	}
	return c.relodge(ctx, found.GetWantedLists()[0], list)
}

// lodgedFields are the fields of a wanted list that a file can say.
var lodgedFields = []string{"title", "place", "reach_road_km", "kit", "purse", "weights", "wants"}

func (c *Client) relodge(ctx context.Context, old, list *pb.WantedList) (*pb.WantedList, string, error) {
	asked := proto.CloneOf(list)
	asked.Name, asked.Etag = old.GetName(), old.GetEtag()
	mask := &fieldmaskpb.FieldMask{Paths: lodgedFields}
	got, err := c.Wants.UpdateWantedList(ctx, &pb.UpdateWantedListRequest{WantedList: asked, UpdateMask: mask})
	if got.GetWantedList().GetRevision() == old.GetRevision() {
		return got.GetWantedList(), "stands already", err
	}
	return got.GetWantedList(), "changed", err
}
