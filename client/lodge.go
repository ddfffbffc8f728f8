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
	list, _, err := ReadLodging(path, currency)
	return list, err
}

// ReadLodging is ReadWanted with where the file says that alerts are to be sent;
// nil where it does not.
func ReadLodging(path, currency string) (*pb.WantedList, *pb.Delivery, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	defer file.Close()
	list, delivery, err := sheet.ReadLodging(path, file, sheet.Currency(currency))
	if err != nil {
		return nil, nil, err
	}
	score.NameWants(list.GetWants())
	return list, delivery, Locate(list)
}

// Lodged is a wanted list that was put up.
type Lodged struct {
	// List is the list as the registry has it.
	List *pb.WantedList
	// Outcome says whether it is new: "lodged", "changed" or "stands already".
	Outcome string
	// Notes is what of its delivery the registry does not do.
	Notes []string
}

// Lodge puts a wanted list up, or, if there is one of that title, in its place;
// and says where its alerts are sent, from the first on: nil leaves that as it is.
func (c *Client) Lodge(ctx context.Context, list *pb.WantedList, d *pb.Delivery) (Lodged, error) {
	found, err := c.Wants.ListWantedLists(ctx, &pb.ListWantedListsRequest{Title: list.GetTitle()})
	if err != nil {
		return Lodged{}, err
	}
	if len(found.GetWantedLists()) == 0 {
		made, err := c.Wants.CreateWantedList(ctx, &pb.CreateWantedListRequest{WantedList: list, Delivery: d, RequestId: rand.Text()})
		return Lodged{made.GetWantedList(), "lodged", made.GetNotes()}, err
	}
	return c.relodge(ctx, found.GetWantedLists()[0], list, d)
}

// lodgedFields are the fields of a wanted list that a file can say.
var lodgedFields = []string{"title", "place", "reach_road_km", "kit", "purse", "weights", "wants"}

func (c *Client) relodge(ctx context.Context, old, list *pb.WantedList, d *pb.Delivery) (Lodged, error) {
	asked := proto.CloneOf(list)
	asked.Name, asked.Etag = old.GetName(), old.GetEtag()
	got, err := c.Wants.UpdateWantedList(ctx, &pb.UpdateWantedListRequest{
		WantedList: asked, UpdateMask: &fieldmaskpb.FieldMask{Paths: lodgedFields}, Delivery: d,
	})
	l := Lodged{got.GetWantedList(), "changed", got.GetNotes()}
	if l.List.GetRevision() == old.GetRevision() {
		l.Outcome = "stands already"
	}
	return l, err
}
