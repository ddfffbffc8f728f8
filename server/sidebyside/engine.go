package main

import (
	"context"
	"math"
	"time"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// engine answers searches over the lots it holds.
type engine interface {
	// name is what the table calls it.
	name() string
	// ask answers a search; what it cannot, it says in an error.
	ask(ctx context.Context, r *pb.SearchLotsRequest) (*answer, error)
	// used is the processor time that it has used so far. On a machine that others
	// use too, it says more than the clock.
	used() (time.Duration, error)
	// steady posts so many lots that are in no other engine, durably; unsteady
	// takes all of those away again. heirpress has no need of the second.
	steady(ctx context.Context, many int) error
	unsteady(ctx context.Context) error
}

// rival is an engine that heirpress is measured beside.
type rival interface {
	engine
	// reached is the change number up to which it has heirpress's lots; forget
	// takes away all that came after one.
	reached(ctx context.Context) (uint64, error)
	forget(ctx context.Context, after uint64) error
	// add puts lots in; finish makes the most of what was put in, and keeps the
	// change number that has been reached with them.
	add(ctx context.Context, rows []*row) error
	finish(ctx context.Context, reached uint64) error
	// spread counts the lots that pass all of a question but the distance, by the
	// numbers of their towns.
	spread(ctx context.Context, q *question) (map[int]int, error)
	// size is its bytes on disk.
	size() int64
	close() error
}

// answer is what was found, as far as engines can be compared.
type answer struct {
	total int
	// names are the lots of the page, in order, and km how far each is by road, if
	// they are by distance.
	names []string
	km    []float64
	// bytes is how large the lots of the page are together.
	bytes int
	// taken is what a slip was taken for; empty if it was not corrected.
	taken string
	// facets counts all that was found by what it is: "KIND_PRESS",
	// "CLASS_PLATEN_JOBBER", "US/OH", "US".
	facets map[string]int
}

// usualPage is how many hits an answer has where a search does not say.
const usualPage = 20

func pageOf(r *pb.SearchLotsRequest) int {
	if n := int(r.GetPageSize()); n > 0 {
		return n
	}
	return usualPage
}

// heirpress is the real thing.
type heirpress struct {
	d      *daemon
	poster *poster
}

func (h *heirpress) name() string { return ourName }

func (h *heirpress) ask(ctx context.Context, r *pb.SearchLotsRequest) (*answer, error) {
	got, err := h.d.search.SearchLots(ctx, r)
	if err != nil {
		return nil, err
	}
	return answerOf(r, got), nil
}

func answerOf(r *pb.SearchLotsRequest, got *pb.SearchLotsResponse) *answer {
	a := &answer{total: int(got.GetTotalSize()), bytes: proto.Size(got)}
	for _, h := range got.GetHits() {
		a.names = append(a.names, h.GetLot().GetName())
		if r.GetOrder() == pb.LotOrder_LOT_ORDER_NEAREST {
			a.km = append(a.km, roadKm(h.RoadMiles))
		}
	}
	for _, m := range got.GetMendedWords() {
		a.taken = m.GetTaken()
	}
	if f := got.GetFacets(); f != nil {
		a.facets = map[string]int{}
		for _, list := range [][]*pb.FacetCount{f.GetKinds(), f.GetClasses(), f.GetRegions()} {
			for _, c := range list {
				a.facets[c.GetValue()] = int(c.GetCount())
			}
		}
	}
	return a
}

// roadKm is how far a hit is; infinitely where no road leads there.
func roadKm(miles *float64) float64 {
	if miles == nil {
		return math.Inf(1)
	}
	return *miles * place.KmPerMile
}

func (h *heirpress) used() (time.Duration, error) { return readCPU(h.d.cmd.Process.Pid) }

func pointOf(p *pb.Point) place.Point {
	return place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()}
}

func (h *heirpress) steady(ctx context.Context, many int) error { return h.poster.post(ctx, many) }

func (h *heirpress) unsteady(context.Context) error { return nil }
