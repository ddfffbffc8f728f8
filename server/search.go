package server

import (
	"context"
	"errors"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/server/record"
	"heirpress/server/store"
)

const searchPage = 20

type searchService struct {
	pb.UnimplementedSearchServiceServer
	*Registry
}

func (s *searchService) SearchLots(ctx context.Context, req *pb.SearchLotsRequest) (*pb.SearchLotsResponse, error) {
	query, town, err := s.query(req)
	if err != nil {
		return nil, err
	}
	if err := s.waitForIndex(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	found, err := s.index.Search(ctx, query)
	if err != nil {
		return nil, err
	}
	hits, err := s.hits(ctx, query.Filter, found)
	if err != nil {
		return nil, err
	}
	answer := &pb.SearchLotsResponse{
		Hits: hits, TotalSize: int32(found.Total), Change: found.Change, NearTown: town,
	}
	if found.More {
		last := found.Hits[len(found.Hits)-1].Position
		answer.NextPageToken = s.tokens.seal(unpaged(req), last.Bytes())
	}
	return answer, nil
}

// query is a request, checked, as the index takes it, and the town it is near.
func (s *searchService) query(req *pb.SearchLotsRequest) (search.Query, *pb.Town, error) {
	size, err := pageSize(req.GetPageSize(), searchPage)
	if err != nil {
		return search.Query{}, nil, err
	}
	position, ok := s.tokens.open(unpaged(req), req.GetPageToken())
	if !ok {
		return search.Query{}, nil, badPageToken()
	}
	filter := proto.CloneOf(req.GetFilter())
	if filter == nil {
		filter = new(pb.LotFilter)
	}
	c := new(checker)
	town := c.filter("filter", filter)
	c.order(req, filter)
	if err := c.err(); err != nil {
		return search.Query{}, nil, err
	}
	query := search.Query{Filter: filter, Order: req.GetOrder(), Limit: size}
	if len(position) > 0 {
		if query.After, err = search.ParsePosition(position); err != nil {
			return search.Query{}, nil, badPageToken()
		}
	}
	return query, town, nil
}

func (c *checker) order(req *pb.SearchLotsRequest, f *pb.LotFilter) {
	if _, known := pb.LotOrder_name[int32(req.GetOrder())]; !known {
		c.wrong("order", "is %d: not a value of LotOrder", req.GetOrder())
	}
	if req.GetOrder() == pb.LotOrder_LOT_ORDER_NEAREST && f.GetNear() == nil {
		c.wrong("order", "is nearest, and filter.near does not say to what")
	}
}

// unpaged is what a search's page tokens are good for.
func unpaged(req *pb.SearchLotsRequest) proto.Message {
	return &pb.SearchLotsRequest{Filter: req.GetFilter(), Order: req.GetOrder()}
}

// waitForIndex returns when the index has every write up to a change number.
// An embedded registry has one user, who expects to see all they have done.
func (s *searchService) waitForIndex(ctx context.Context, change uint64) error {
	if s.config.AlwaysFresh {
		head, err := s.store.Head(ctx)
		if err != nil {
			return err
		}
		change = max(change, head)
	}
	err := s.index.WaitFor(ctx, max(change, s.floor))
	switch reached := s.index.Change(); {
	case !errors.Is(err, context.DeadlineExceeded):
		return err
	case reached < s.floor:
		return tryAgain(ReasonNotReady, "the index is being built: try again shortly", time.Second)
	default:
		return problem(codes.DeadlineExceeded, ReasonNotReady,
			"the index has reached change %d, and the search asked for %d: try again, or ask for less", reached, change)
	}
}

// hits reads the lots found as they stand now. The index may be a moment
// behind: a lot that no longer passes the filter is left out.
func (s *searchService) hits(ctx context.Context, f *pb.LotFilter, found *search.Result) ([]*pb.SearchHit, error) {
	lots, err := s.lotsNamed(ctx, found.Hits)
	if err != nil {
		return nil, err
	}
	hits := make([]*pb.SearchHit, 0, len(found.Hits))
	for _, h := range found.Hits {
		lot := lots[h.Name]
		if lot == nil {
			continue
		}
		if passes, _ := search.Matches(f, lot); passes {
			hits = append(hits, hitOf(h, lot))
		}
	}
	return hits, nil
}

func (s *searchService) lotsNamed(ctx context.Context, hits []search.Hit) (map[string]*pb.Lot, error) {
	names := make([]string, len(hits))
	for i, h := range hits {
		names[i] = h.Name
	}
	records, err := s.store.GetMany(ctx, names)
	if err != nil {
		return nil, err
	}
	return lotsByName(records)
}

func lotsByName(records []store.Record) (map[string]*pb.Lot, error) {
	lots := make(map[string]*pb.Lot, len(records))
	for _, r := range records {
		lot, err := record.Lot(r)
		if err != nil {
			return nil, err
		}
		lots[r.Name] = lot
	}
	return lots, nil
}

func hitOf(h search.Hit, lot *pb.Lot) *pb.SearchHit {
	hit := &pb.SearchHit{Lot: lot, Score: &h.Score, Unknown: h.Unknown}
	if h.Road != nil {
		hit.RoadMiles, hit.RoadMilesLow, hit.RoadMilesHigh = h.Road.Miles()
	}
	return hit
}
