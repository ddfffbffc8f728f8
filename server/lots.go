package server

import (
	"context"
	"fmt"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/server/access"
	"heirpress/server/introduce"
	"heirpress/server/record"
	"heirpress/server/store"
)

const mostLots = 5_000 // in one batch

type lotService struct {
	pb.UnimplementedLotServiceServer
	*Registry
}

func (s *lotService) CreateLot(ctx context.Context, req *pb.CreateLotRequest) (*pb.CreateLotResponse, error) {
	c := new(checker)
	lots := newLots(c, []*pb.Lot{req.GetLot()}, func(int) string { return "lot" })
	if err := c.err(); err != nil {
		return nil, err
	}
	return once(ctx, s.store, req, new(pb.CreateLotResponse), func(tx store.Tx) (*pb.CreateLotResponse, error) {
		written, err := s.createLots(ctx, tx, req.GetParent(), lots)
		if err != nil {
			return nil, err
		}
		return &pb.CreateLotResponse{Lot: written[0], Change: written[0].GetRevision()}, nil
	})
}

func (s *lotService) BatchCreateLots(ctx context.Context, req *pb.BatchCreateLotsRequest) (*pb.BatchCreateLotsResponse, error) {
	if n := len(req.GetLots()); n == 0 || n > mostLots {
		return nil, invalid("lots", fmt.Sprintf("has %d lots: 1 to %d", n, mostLots))
	}
	c := new(checker)
	lots := newLots(c, req.GetLots(), func(i int) string { return fmt.Sprintf("lots[%d]", i) })
	sameTags(c, lots)
	if err := c.err(); err != nil {
		return nil, err
	}
	return once(ctx, s.store, req, new(pb.BatchCreateLotsResponse), func(tx store.Tx) (*pb.BatchCreateLotsResponse, error) {
		written, err := s.createLots(ctx, tx, req.GetParent(), lots)
		if err != nil {
			return nil, err
		}
		return &pb.BatchCreateLotsResponse{Lots: written, Change: written[len(written)-1].GetRevision()}, nil
	})
}

// newLots is the lots of a request as they start, checked; at names the path
// of each.
func newLots(c *checker, asked []*pb.Lot, at func(int) string) []*pb.Lot {
	lots := make([]*pb.Lot, len(asked))
	for i, l := range asked {
		if l == nil {
			c.wrong(at(i), "is missing")
			continue
		}
		lots[i] = inputOnly(l)
		if lots[i].GetKind() == pb.Kind_KIND_UNSPECIFIED {
			lots[i].Kind = pb.Kind_KIND_OTHER
		}
		c.lot(at(i), lots[i])
		c.firstState(at(i)+".state", lots[i])
	}
	return lots
}

func (c *checker) firstState(at string, l *pb.Lot) {
	switch l.GetState() {
	case pb.LotState_LOT_STATE_UNSPECIFIED, pb.LotState_LOT_STATE_DRAFT, pb.LotState_LOT_STATE_OFFERED:
	default:
		c.wrong(at, "is %s: a new lot is draft or offered", trade.StateWord(l.GetState()))
	}
}

func sameTags(c *checker, lots []*pb.Lot) {
	first := map[string]int{}
	for i, l := range lots {
		key := trade.FoldTag(l.GetTag())
		if before, taken := first[key]; taken && key != "" {
			c.wrong(fmt.Sprintf("lots[%d].tag", i), "is %q, as that of lots[%d]: a tag is used once in a shop", l.GetTag(), before)
			continue
		}
		first[key] = i
	}
}

func (s *lotService) createLots(ctx context.Context, tx store.Tx, parent string, lots []*pb.Lot) ([]*pb.Lot, error) {
	shop, err := get(ctx, tx, store.Shops, parent, record.Shop)
	if err != nil {
		return nil, err
	}
	if err := s.may(ctx, tx, theShop(ctx, tx, parent)); err != nil {
		return nil, err
	}
	goBetween, err := isGoBetween(ctx, tx, parent)
	if err != nil {
		return nil, err
	}
	written := make([]*pb.Lot, len(lots))
	for i, l := range lots {
		l = proto.CloneOf(l)
		if err := begin(l, goBetween); err != nil {
			return nil, err
		}
		if written[i], err = createLot(ctx, tx, shop, l); err != nil {
			return nil, err
		}
	}
	return written, nil
}

func createLot(ctx context.Context, tx store.Tx, shop *pb.Shop, lot *pb.Lot) (*pb.Lot, error) {
	showShop(lot, shop)
	lot.CreateTime, lot.UpdateTime = now(tx), now(tx)
	lot.History = []*pb.LotStep{{State: lot.GetState(), Time: now(tx)}}
	var err error
	if lot.Name, err = freeLotName(ctx, tx, shop.GetName(), lot.GetTag()); err != nil {
		return nil, err
	}
	r, err := lotRecord(ctx, lot, shop.GetName())
	if err != nil {
		return nil, err
	}
	if r, err = tx.Create(ctx, r); err != nil {
		return nil, taken(err, "lot", fmt.Sprintf("the tag %q", lot.GetTag()))
	}
	return record.Lot(r)
}

func lotRecord(ctx context.Context, lot *pb.Lot, shop string) (store.Record, error) {
	body, err := record.Signed(lot, access.From(ctx).Author())
	return store.Record{
		Name: lot.GetName(), Collection: store.Lots, Parent: shop, Key: trade.FoldTag(lot.GetTag()), Body: body,
	}, err
}

// freeLotName makes a lot's name from its tag. Two tags that differ only in
// what a name cannot show get names that differ by a number.
func freeLotName(ctx context.Context, tx store.Tx, shop, tag string) (string, error) {
	base := trade.Slug(tag)
	if base == "" {
		base = chance(6)
	}
	name := shop + "/lots/" + base
	for n := 2; ; n++ {
		taken, err := tx.GetMany(ctx, []string{name})
		if err != nil || len(taken) == 0 {
			return name, err
		}
		if taken[0].Key == trade.FoldTag(tag) {
			return name, nil // the key is taken too, and Create says so
		}
		name = fmt.Sprintf("%s/lots/%s-%d", shop, base, n)
	}
}

func (s *lotService) GetLot(ctx context.Context, req *pb.GetLotRequest) (*pb.GetLotResponse, error) {
	lot, err := get(ctx, s.store, store.Lots, req.GetName(), record.Lot)
	if err != nil {
		return nil, err
	}
	if err := s.may(ctx, s.store, theLot(lot)); err != nil {
		return nil, err
	}
	return &pb.GetLotResponse{Lot: lot}, nil
}

func (s *lotService) ListLots(ctx context.Context, req *pb.ListLotsRequest) (*pb.ListLotsResponse, error) {
	asked := &pb.ListLotsRequest{Parent: req.GetParent(), Tag: req.GetTag()}
	listing, err := s.listing(ctx, store.Lots, asked, req)
	if err != nil {
		return nil, err
	}
	if _, err := get(ctx, s.store, store.Shops, req.GetParent(), record.Shop); err != nil {
		return nil, err
	}
	if err := s.may(ctx, s.store, theShop(ctx, s.store, req.GetParent())); err != nil {
		return nil, err
	}
	listing.Parent = req.GetParent()
	lots, next, err := listOrFind(ctx, s.store, listing, trade.FoldTag(req.GetTag()), record.Lot, func(lot *pb.Lot) (bool, error) {
		return s.sees(ctx, s.store, theLot(lot))
	})
	if err != nil {
		return nil, err
	}
	return &pb.ListLotsResponse{Lots: lots, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}

func (s *lotService) UpdateLot(ctx context.Context, req *pb.UpdateLotRequest) (*pb.UpdateLotResponse, error) {
	var lot *pb.Lot
	err := s.store.Write(ctx, func(tx store.Tx) error {
		r, err := recordOf(ctx, tx, store.Lots, req.GetLot().GetName())
		if err != nil {
			return err
		}
		before, err := record.Lot(r)
		if err != nil {
			return err
		}
		if err := s.may(ctx, tx, theLot(before)); err != nil {
			return err
		}
		if etag := req.GetLot().GetEtag(); etag != "" && etag != before.GetEtag() {
			return stale(before.GetName(), before.GetEtag())
		}
		lot, err = updateLot(ctx, tx, r.Parent, before, req)
		return err
	})
	return &pb.UpdateLotResponse{Lot: lot, Change: lot.GetRevision()}, err
}

func updateLot(ctx context.Context, tx store.Tx, parent string, before *pb.Lot, req *pb.UpdateLotRequest) (*pb.Lot, error) {
	shop, err := get(ctx, tx, store.Shops, parent, record.Shop)
	if err != nil {
		return nil, err
	}
	lot, err := changed(before, req, shop)
	if err != nil {
		return nil, err
	}
	goBetween, err := isGoBetween(ctx, tx, parent)
	if err != nil {
		return nil, err
	}
	if goBetween {
		if err := goBetweenMay(before, lot); err != nil {
			return nil, err
		}
	}
	return writeLot(ctx, tx, parent, before, lot)
}

// writeLot writes a lot that has changed, if it has, and what follows from where it
// has gone.
func writeLot(ctx context.Context, tx store.Tx, parent string, before, lot *pb.Lot) (*pb.Lot, error) {
	if proto.Equal(before, lot) {
		return before, nil
	}
	if err := step(tx, before, lot); err != nil {
		return nil, err
	}
	if lot.GetState() != before.GetState() {
		if err := introduce.LotMoved(ctx, tx, lot); err != nil {
			return nil, err
		}
	}
	lot.UpdateTime = now(tx)
	r, err := lotRecord(ctx, lot, parent)
	if err != nil {
		return nil, err
	}
	if r, err = tx.Update(ctx, r); err != nil {
		return nil, taken(err, "lot", fmt.Sprintf("the tag %q", lot.GetTag()))
	}
	return record.Lot(r)
}

// changed is a lot with the fields of an update in it, checked.
func changed(before *pb.Lot, req *pb.UpdateLotRequest, shop *pb.Shop) (*pb.Lot, error) {
	lot := proto.CloneOf(before)
	if err := change(lot, req.GetLot(), req.GetUpdateMask(), lotFields); err != nil {
		return nil, err
	}
	if contains(req.GetUpdateMask().GetPaths(), "clear_by") {
		lot.ClearByFromShop = false
	}
	showShop(lot, shop)
	c := new(checker)
	c.lot("lot", lot)
	return lot, c.err()
}

func contains(paths []string, field string) bool {
	for _, p := range paths {
		if p == field || len(p) > len(field) && p[:len(field)+1] == field+"." {
			return true
		}
	}
	return false
}

// reachable tells where a lot may go from where it stands.
var reachable = map[pb.LotState][]pb.LotState{
	pb.LotState_LOT_STATE_DRAFT:     {pb.LotState_LOT_STATE_PROOFED, pb.LotState_LOT_STATE_WITHDRAWN},
	pb.LotState_LOT_STATE_PROOFED:   {pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_DRAFT, pb.LotState_LOT_STATE_WITHDRAWN},
	pb.LotState_LOT_STATE_OFFERED:   {pb.LotState_LOT_STATE_PROMISED, pb.LotState_LOT_STATE_REHOMED, pb.LotState_LOT_STATE_WITHDRAWN},
	pb.LotState_LOT_STATE_PROMISED:  {pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_REHOMED, pb.LotState_LOT_STATE_WITHDRAWN},
	pb.LotState_LOT_STATE_WITHDRAWN: {pb.LotState_LOT_STATE_OFFERED, pb.LotState_LOT_STATE_DRAFT},
	pb.LotState_LOT_STATE_REHOMED:   nil,
}

// step writes a change of state into the lot's history, if there is a way.
func step(tx store.Tx, before, lot *pb.Lot) error {
	from, to := before.GetState(), lot.GetState()
	if from == to {
		return nil
	}
	for _, next := range reachable[from] {
		if next == to {
			lot.History = append(lot.History, &pb.LotStep{State: to, Time: now(tx)})
			return nil
		}
	}
	return unreachable(lot.GetName(), fmt.Sprintf("a lot that is %s can become %s, not %q",
		trade.StateWord(from), stateWords(reachable[from]), trade.StateWord(to)))
}

func stateWords(states []pb.LotState) string {
	if len(states) == 0 {
		return "nothing else"
	}
	words := trade.StateWord(states[0])
	for i, s := range states[1:] {
		if i == len(states)-2 {
			words += " or " + trade.StateWord(s)
		} else {
			words += ", " + trade.StateWord(s)
		}
	}
	return words
}
