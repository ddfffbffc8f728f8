package client

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// Outcome is what posting did with a lot.
type Outcome string

// What posting can do with a lot.
const (
	Posted    Outcome = "posted"    // it is new
	Changed   Outcome = "changed"   // it was there, and the sheet says something else
	Unchanged Outcome = "unchanged" // it was there, as the sheet has it
	Refused   Outcome = "refused"   // the registry would not have it
)

// PostedLot is a lot of a sheet and what became of it.
type PostedLot struct {
	// Index is its place in the lots given to Post.
	Index int
	// Outcome is what was done.
	Outcome Outcome
	// Lot is the lot as the registry has it; as it was given, if it was refused.
	Lot *pb.Lot
	// Problems say why it was refused, by field of the lot.
	Problems []FieldProblem
}

func (l *PostedLot) refuse(field, message string) {
	l.Outcome = Refused
	l.Problems = append(l.Problems, FieldProblem{Field: field, Message: message})
}

// PostReport is what posting came to.
type PostReport struct {
	// Shop is the shop as the registry has it.
	Shop *pb.Shop
	// NewShop tells that this post opened it.
	NewShop bool
	// Lots is every lot, in the order given.
	Lots []PostedLot
	// Change is the change number of the last write; 0 if nothing was written.
	Change uint64
}

// Count tells how many lots had an outcome.
func (r *PostReport) Count(o Outcome) int {
	n := 0
	for _, l := range r.Lots {
		if l.Outcome == o {
			n++
		}
	}
	return n
}

const postBatch = 500

// Post puts a shop and its lots into the registry. The shop is known by its
// title and a lot by its tag, so that posting again writes only what is new or
// says something else; what a sheet does not say is left as it is. A lot that
// the registry refuses keeps none of the others out. Progress, if it is not
// nil, hears how many lots are done.
func (c *Client) Post(ctx context.Context, shop *pb.Shop, lots []*pb.Lot, progress func(done int)) (*PostReport, error) {
	p := poster{client: c, report: &PostReport{Lots: make([]PostedLot, len(lots))}, progress: progress}
	for i, l := range lots {
		p.report.Lots[i] = PostedLot{Index: i, Lot: l}
	}
	if err := p.openShop(ctx, shop); err != nil {
		return nil, err
	}
	there, err := c.lotsByTag(ctx, p.report.Shop.GetName())
	if err != nil {
		return p.report, err
	}
	var fresh []*PostedLot
	for i := range p.report.Lots {
		one := &p.report.Lots[i]
		if old := there[trade.FoldTag(one.Lot.GetTag())]; old == nil {
			fresh = append(fresh, one)
		} else if err := p.renew(ctx, old, one); err != nil {
			return p.report, err
		}
	}
	err = p.createAll(ctx, fresh)
	c.findable(ctx, p.report.Change)
	return p.report, err
}

// findableIn is how long a post that is done waits until it can be found.
const findableIn = 5 * time.Second

// findable waits until searches have a write, so that who posts and then looks
// finds it, whatever the other end is busy with. A post is done without it, so
// that it takes too long is no error.
func (c *Client) findable(ctx context.Context, change uint64) {
	if change == 0 {
		return
	}
	moment, cancel := context.WithTimeout(ctx, findableIn)
	defer cancel()
	_, _ = c.Search.SearchLots(moment, &pb.SearchLotsRequest{PageSize: 1, AtLeastChange: change})
}

type poster struct {
	client   *Client
	report   *PostReport
	progress func(int)
	done     int
}

func (p *poster) wrote(change uint64) { p.report.Change = max(p.report.Change, change) }

func (p *poster) advance(n int) {
	p.done += n
	if p.progress != nil {
		p.progress(p.done)
	}
}

// openShop finds the shop of that title, or opens it.
func (p *poster) openShop(ctx context.Context, shop *pb.Shop) error {
	found, err := p.client.Shops.ListShops(ctx, &pb.ListShopsRequest{Title: shop.GetTitle(), OwnOnly: true})
	if err != nil {
		return err
	}
	if len(found.GetShops()) > 0 {
		return p.renewShop(ctx, found.GetShops()[0], shop)
	}
	made, err := p.client.Shops.CreateShop(ctx, &pb.CreateShopRequest{Shop: shop, RequestId: rand.Text()})
	if err != nil {
		return err
	}
	p.report.Shop, p.report.NewShop = made.GetShop(), true
	p.wrote(made.GetChange())
	return nil
}

// postedShopFields are the fields of a shop that a sheet can say, but for the
// title, by which the shop is known.
var postedShopFields = []string{"place", "story", "access", "clear_by", "collection_name"}

func (p *poster) renewShop(ctx context.Context, old, shop *pb.Shop) error {
	p.report.Shop = old
	mask := differing(old, shop, postedShopFields...)
	if len(mask.GetPaths()) == 0 {
		return nil
	}
	asked := proto.CloneOf(shop)
	asked.Name, asked.Etag = old.GetName(), old.GetEtag()
	made, err := p.client.Shops.UpdateShop(ctx, &pb.UpdateShopRequest{Shop: asked, UpdateMask: mask})
	if err != nil {
		return err
	}
	p.report.Shop = made.GetShop()
	p.wrote(made.GetChange())
	return nil
}

// lotsByTag is every lot of a shop under its folded tag.
func (c *Client) lotsByTag(ctx context.Context, shop string) (map[string]*pb.Lot, error) {
	lots := map[string]*pb.Lot{}
	for req := (&pb.ListLotsRequest{Parent: shop, PageSize: 1000}); ; {
		got, err := c.Lots.ListLots(ctx, req)
		if err != nil {
			return nil, err
		}
		for _, l := range got.GetLots() {
			lots[trade.FoldTag(l.GetTag())] = l
		}
		if req.PageToken = got.GetNextPageToken(); req.PageToken == "" {
			return lots, nil
		}
	}
}

// postedFields are the fields of a lot that a sheet can say.
var postedFields = []string{
	"kind", "class", "title", "description", "make", "model", "serial", "count", "weight", "size",
	"size_as_written", "condition", "condition_note", "parts", "price",
	"press", "metal_type", "wood_type", "cuts", "general", "clear_by",
}

// renew writes what a sheet says otherwise about a lot that is there.
func (p *poster) renew(ctx context.Context, old *pb.Lot, one *PostedLot) error {
	defer p.advance(1)
	mask := differing(old, one.Lot, postedFields...)
	if len(mask.GetPaths()) == 0 {
		one.Outcome, one.Lot = Unchanged, old
		return nil
	}
	asked := proto.CloneOf(one.Lot)
	asked.Name, asked.Etag = old.GetName(), old.GetEtag()
	got, err := p.client.Lots.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: asked, UpdateMask: mask})
	if problems := FieldProblems(err); len(problems) > 0 {
		for _, fp := range problems {
			one.refuse(strings.TrimPrefix(fp.Field, "lot."), fp.Message)
		}
		return nil
	}
	if err != nil {
		return err
	}
	one.Outcome, one.Lot = Changed, got.GetLot()
	p.wrote(got.GetChange())
	return nil
}

// createAll writes new lots, a batch at a time.
func (p *poster) createAll(ctx context.Context, fresh []*PostedLot) error {
	for len(fresh) > 0 {
		n := min(len(fresh), postBatch)
		if err := p.create(ctx, fresh[:n]); err != nil {
			return err
		}
		p.advance(n)
		fresh = fresh[n:]
	}
	return nil
}

// create writes a batch. Lots that are refused are taken out, and the rest
// written without them.
func (p *poster) create(ctx context.Context, batch []*PostedLot) error {
	for len(batch) > 0 {
		req := &pb.BatchCreateLotsRequest{Parent: p.report.Shop.GetName(), RequestId: rand.Text()}
		for _, one := range batch {
			req.Lots = append(req.Lots, one.Lot)
		}
		made, err := p.client.Lots.BatchCreateLots(ctx, req)
		if err == nil {
			for i, one := range batch {
				one.Outcome, one.Lot = Posted, made.GetLots()[i]
			}
			p.wrote(made.GetChange())
			return nil
		}
		rest := refuse(batch, FieldProblems(err))
		if len(rest) == len(batch) {
			return err
		}
		batch = rest
	}
	return nil
}

// refuse marks the lots that problems are about, and returns the others.
func refuse(batch []*PostedLot, problems []FieldProblem) []*PostedLot {
	for _, fp := range problems {
		var i int
		var field string
		if n, _ := fmt.Sscanf(fp.Field, "lots[%d]%s", &i, &field); n < 1 || i < 0 || i >= len(batch) {
			continue
		}
		batch[i].refuse(strings.TrimPrefix(field, "."), fp.Message)
	}
	var rest []*PostedLot
	for _, one := range batch {
		if one.Outcome != Refused {
			rest = append(rest, one)
		}
	}
	return rest
}

// ErrNoShop says that a sheet names no shop.
var ErrNoShop = errors.New("the sheet does not say which shop it is of: add --shop TITLE and --place TOWN")
