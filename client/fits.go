package client

import (
	"context"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/score"
)

// Fitted is a lot held against a want, and the way to it.
type Fitted struct {
	score.Ranked
	// Road is the way from the list's town; nil if it is not known.
	Road *place.Road
}

const (
	fitPage = 1000
	// mostCandidates bounds how many lots are looked at for each want. They are
	// counted as they come: were those counted that the purse allows, the number
	// of questions asked would tell of it.
	mostCandidates = 5000
)

// Score finds the offers that meet the wants of a list and scores them, in the
// order of score.Sort. The scoring is done here, on the seeker's own machine:
// the registry is asked with the town and the things wanted, and is told nothing
// of the purse, the kit or the weights.
func (c *Client) Score(ctx context.Context, list *pb.WantedList) ([]Fitted, error) {
	var all []Fitted
	for _, w := range list.GetWants() {
		fits, err := c.scoreWant(ctx, list, w)
		if err != nil {
			return nil, err
		}
		all = append(all, fits...)
	}
	score.Sort(all, func(f Fitted) score.Ranked { return f.Ranked })
	return all, nil
}

func (c *Client) scoreWant(ctx context.Context, list *pb.WantedList, w *pb.Want) ([]Fitted, error) {
	full := score.Filter(list, w)
	told := proto.CloneOf(full)
	told.MaxPrice = nil
	filter := search.Compile(full)
	var fits []Fitted
	seen := 0
	for req := (&pb.SearchLotsRequest{Filter: told, PageSize: fitPage}); ; {
		got, err := c.Search.SearchLots(ctx, req)
		if err != nil {
			return nil, err
		}
		seen += len(got.GetHits())
		for _, hit := range got.GetHits() {
			if ok, _ := filter.Matches(hit.GetLot()); ok {
				fits = append(fits, fitted(list, w, hit.GetLot()))
			}
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" || seen >= mostCandidates {
			return fits, nil
		}
	}
}

func fitted(list *pb.WantedList, w *pb.Want, lot *pb.Lot) Fitted {
	road := score.Road(list, lot)
	return Fitted{Ranked: score.Ranked{Want: w, Lot: lot, Fit: score.Lot(list, w, lot, road)}, Road: road}
}

// AskFirst is what to ask the keepers first about a want's offers; see
// score.AskFirst.
func AskFirst(list *pb.WantedList, w *pb.Want, fits []Fitted) []score.Ask {
	hits := make([]score.Ranked, len(fits))
	for i, f := range fits {
		hits[i] = f.Ranked
	}
	return score.AskFirst(list, w, hits)
}

// Locate looks up the town of a wanted list that was read from a file, as the
// server does for a list that is lodged. The error is one of place.Find.
func Locate(list *pb.WantedList) error {
	t, err := place.Find(list.GetPlace())
	if err != nil {
		return err
	}
	list.Town = t.Message()
	return nil
}
