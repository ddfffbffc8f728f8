package server

import (
	"context"
	"errors"
	"time"

	"golang.org/x/sync/errgroup"
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
	asked, err := s.ask(ctx, req)
	if err != nil {
		return nil, err
	}
	if err := s.waitForIndex(ctx, req.GetAtLeastChange()); err != nil {
		return nil, err
	}
	query := asked.query
	words, mended, err := s.index.Mend(ctx, query.Filter.GetWords())
	if err != nil {
		return nil, err
	}
	query.Filter.Words = words
	found, err := s.index.Search(ctx, query)
	if err != nil {
		return nil, err
	}
	hits, err := s.hits(ctx, query.Filter, found)
	if err != nil {
		return nil, err
	}
	if req.GetHighlights() {
		highlight(query.Filter, hits)
	}
	answer := &pb.SearchLotsResponse{
		Hits: hits, TotalSize: int32(found.Total), Change: found.Change, NearTown: asked.town,
		UnderstoodAs: asked.understood, Searched: query.Filter, MendedWords: mendedWords(mended), Facets: found.Facets,
	}
	if found.More {
		last := found.Hits[len(found.Hits)-1].Position
		answer.NextPageToken = s.tokensOf(ctx).seal(unpaged(req), last.Bytes())
	}
	if req.GetSuggest() && query.After == nil && found.Total < few {
		return answer, s.suggest(ctx, query.Filter, answer)
	}
	return answer, nil
}

// few is below how many lots it is worth saying what would find more.
const few = 5

// suggest adds to an answer what would find more.
func (s *searchService) suggest(ctx context.Context, f *pb.LotFilter, answer *pb.SearchLotsResponse) error {
	relaxed, err := s.index.Relax(ctx, f)
	if err != nil {
		return err
	}
	for _, r := range relaxed {
		answer.Relax = append(answer.Relax, &pb.Relaxation{
			Field: r.Field, Description: r.Description, More: int32(r.More), Filter: r.Filter,
		})
	}
	if answer.GetTotalSize() > 0 {
		return nil
	}
	if answer.UnknownWords, err = s.index.Unknown(ctx, f.GetWords()); err != nil {
		return err
	}
	answer.DidYouMean, err = s.index.DidYouMean(ctx, f)
	return err
}

func mendedWords(mended []search.Mended) []*pb.MendedWord {
	var words []*pb.MendedWord
	for _, m := range mended {
		words = append(words, &pb.MendedWord{Typed: m.Typed, Taken: m.Taken})
	}
	return words
}

// asked is a request as it was understood.
type asked struct {
	query      search.Query
	town       *pb.Town
	understood string
}

// ask is a request, checked, as the index takes it, and the town it is near.
func (s *searchService) ask(ctx context.Context, req *pb.SearchLotsRequest) (*asked, error) {
	size, err := pageSize(req.GetPageSize(), searchPage)
	if err != nil {
		return nil, err
	}
	position, ok := s.tokensOf(ctx).open(unpaged(req), req.GetPageToken())
	if !ok {
		return nil, badPageToken()
	}
	a := &asked{query: search.Query{Filter: proto.CloneOf(req.GetFilter()), Order: req.GetOrder(), Limit: size, Facets: req.GetFacets()}}
	if a.query.Filter == nil {
		a.query.Filter = new(pb.LotFilter)
	}
	if req.GetUnderstandWords() {
		a.understand()
	}
	c := new(checker)
	a.town = c.filter("filter", a.query.Filter)
	c.order(req, a.query.Filter)
	if err := c.err(); err != nil {
		return nil, err
	}
	if len(position) > 0 {
		if a.query.After, err = search.ParsePosition(position); err != nil {
			return nil, badPageToken()
		}
	}
	return a, nil
}

// understand reads the words for what else they say.
func (a *asked) understand() {
	u := search.Understand(a.query.Filter)
	a.query.Filter, a.understood = u.Filter, u.Sentence()
	if a.query.Order == pb.LotOrder_LOT_ORDER_UNSPECIFIED {
		a.query.Order = u.Order
	}
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
	return &pb.SearchLotsRequest{Filter: req.GetFilter(), Order: req.GetOrder(), UnderstandWords: req.GetUnderstandWords()}
}

// A search waits for writes that it did not ask for where that takes a moment:
// the index is a few changes behind, and will have them at once. In the middle
// of a large ingest it does not wait.
const (
	fewBehind  = 100
	freshAfter = 30 * time.Millisecond
)

// waitForIndex returns when the index has every write up to a change number.
// For what was written before the call and not asked for it waits a moment at
// most, so that who posts and then looks finds it; an embedded registry has one
// user, who expects that always.
func (s *searchService) waitForIndex(ctx context.Context, change uint64) error {
	head, err := s.store.Head(ctx)
	if err != nil {
		return err
	}
	if s.config.AlwaysFresh {
		change = max(change, head)
	} else if head <= s.index.Change()+fewBehind {
		moment, cancel := context.WithTimeout(ctx, freshAfter)
		_ = s.index.WaitFor(moment, head) // if not now, then without them
		cancel()
	}
	err = s.index.WaitFor(ctx, max(change, s.floor))
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
		if !isPublic(lot) { // not since the index had it, or for the one who has everything
			seen, err := s.sees(ctx, s.store, theLot(lot))
			if err != nil {
				return nil, err
			}
			if !seen {
				continue
			}
		}
		if lot.GetRevision() > found.Change {
			if passes, _ := search.Matches(f, lot); !passes {
				continue
			}
		}
		hits = append(hits, hitOf(h, lot))
	}
	return hits, nil
}

func (s *searchService) lotsNamed(ctx context.Context, hits []search.Hit) (map[string]*pb.Lot, error) {
	names := make([]string, len(hits))
	for i, h := range hits {
		names[i] = h.Name
	}
	records, err := s.recordsOf(ctx, names)
	if err != nil {
		return nil, err
	}
	return lotsByName(records)
}

// fewNames is how many records are read as soon by one as by two.
const fewNames = 8

// recordsOf reads records, half of many at the same time as the other: finding
// them in the store takes as long as finding which they are.
func (s *searchService) recordsOf(ctx context.Context, names []string) ([]store.Record, error) {
	if len(names) <= fewNames {
		return s.store.GetMany(ctx, names)
	}
	var first, rest []store.Record
	both, ctx := errgroup.WithContext(ctx)
	both.Go(func() (err error) {
		first, err = s.store.GetMany(ctx, names[:len(names)/2])
		return err
	})
	rest, err := s.store.GetMany(ctx, names[len(names)/2:])
	if err = errors.Join(err, both.Wait()); err != nil {
		return nil, err
	}
	return append(first, rest...), nil
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

// highlight says of each hit where the words stand.
func highlight(f *pb.LotFilter, hits []*pb.SearchHit) {
	filter := search.Compile(f)
	for _, hit := range hits {
		hit.Highlights = search.Highlight(filter, hit.GetLot())
	}
}

func hitOf(h search.Hit, lot *pb.Lot) *pb.SearchHit {
	hit := &pb.SearchHit{Lot: lot, Score: &h.Score, Unknown: h.Unknown}
	if h.Road != nil {
		hit.RoadMiles, hit.RoadMilesLow, hit.RoadMilesHigh = h.Road.Miles()
	}
	return hit
}
