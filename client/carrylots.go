package client

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func protoName(field string) protoreflect.Name { return protoreflect.Name(field) }

func trimPrefix(field, prefix string) string { return strings.TrimPrefix(field, prefix) }

// compactJSON is a message on one line; the library varies its spacing.
func compactJSON(m proto.Message) string {
	var line bytes.Buffer
	if err := json.Compact(&line, rawOf(m)); err != nil {
		return err.Error()
	}
	return line.String()
}

var carriedLotFields = append([]string{"tag", "state", "price_paid"}, postedFields...)

// carriedLot is what is carried of a lot: not what it has from its shop, nor what
// a registry gives it.
func carriedLot(l *pb.Lot) *pb.Lot {
	own := only(l, carriedLotFields).(*pb.Lot)
	if l.GetClearByFromShop() {
		own.ClearBy = nil
	}
	return own
}

// lots carries the lots of a shop that is there.
func (c *carrier) lots(ctx context.Context, here []*pb.Lot) error {
	all, err := c.to.AllLots(ctx, c.report.There)
	if err != nil {
		return err
	}
	byName, byTag := map[string]*pb.Lot{}, map[string]*pb.Lot{}
	for _, l := range all {
		byName[l.GetName()], byTag[trade.FoldTag(l.GetTag())] = l, l
	}
	c.report.Lots = make([]CarriedLot, len(here))
	var fresh []*CarriedLot
	for i, l := range here {
		one := &c.report.Lots[i]
		one.Lot, one.Outcome = l, Unchanged
		var n note
		found, err := c.notes.get(l.GetName(), &n)
		switch {
		case err != nil:
			return err
		case found:
			err = c.known(ctx, one, n, byName[n.There])
		case byTag[trade.FoldTag(l.GetTag())] != nil:
			err = c.sameTag(one, byTag[trade.FoldTag(l.GetTag())])
		case l.GetState() == pb.LotState_LOT_STATE_REHOMED, l.GetState() == pb.LotState_LOT_STATE_WITHDRAWN:
			one.Outcome = Left
		default:
			fresh = append(fresh, one)
		}
		if err != nil {
			return err
		}
	}
	return c.bring(ctx, fresh)
}

// sameTag looks at the lot that has a tag there already: if it says the same as
// the one here, it is that one.
func (c *carrier) sameTag(one *CarriedLot, there *pb.Lot) error {
	here := carriedLot(one.Lot)
	differs := unlike(here, carriedLot(there), carriedLotFields...).GetPaths()
	if len(differs) == 0 {
		one.There = there.GetName()
		return c.agree(one, there)
	}
	one.Outcome, one.Conflict = Clash, &Conflict{
		Why:    fmt.Sprintf("another lot there has its tag (%s): give the one here another tag, or make them say the same", ID(there.GetName())),
		Fields: differences(here, there, differs),
	}
	return nil
}

// agree notes that a lot is here and there as somebody wants it.
func (c *carrier) agree(one *CarriedLot, there *pb.Lot) error {
	n := agreed(carriedLot(one.Lot), carriedLot(there), there.GetName(), carriedLotFields)
	n.Steps = len(one.Lot.GetHistory())
	return c.notes.put(map[string]any{one.Lot.GetName(): n})
}

// carryBatch is how many lots are carried in one request.
const carryBatch = 200

// bring carries lots that are not there.
func (c *carrier) bring(ctx context.Context, fresh []*CarriedLot) error {
	for len(fresh) > 0 {
		batch := fresh[:min(carryBatch, len(fresh))]
		fresh = fresh[len(batch):]
		if err := c.bringBatch(ctx, batch); err != nil {
			return err
		}
		for _, one := range batch {
			if one.Outcome != Brought {
				continue
			}
			if err := c.bringOn(ctx, one); err != nil {
				return err
			}
		}
	}
	return nil
}

// bringBatch carries lots in the state that they began in. Those that the server
// refuses are taken out, and the others carried without them.
func (c *carrier) bringBatch(ctx context.Context, batch []*CarriedLot) error {
	for len(batch) > 0 {
		req := &pb.BatchCreateLotsRequest{Parent: c.report.There, RequestId: rand.Text()}
		var from []string
		for _, one := range batch {
			req.Lots = append(req.Lots, asBegun(one.Lot))
			from = append(from, one.Lot.GetName())
		}
		if err := c.notes.put(map[string]any{pendingKey: pending{Lots: rawOf(req), From: from}}); err != nil {
			return err
		}
		err := c.createLots(ctx, req, from)
		if err == nil {
			for _, one := range batch {
				one.Outcome = Brought
			}
			return nil
		}
		if !refusal(err) {
			return err
		}
		rest := c.refuse(batch, err)
		if err := c.notes.put(map[string]any{pendingKey: nil}); err != nil {
			return err
		}
		batch = rest
	}
	return nil
}

// refuse marks the lots that a refusal names, or, if it names none, all.
func (c *carrier) refuse(batch []*CarriedLot, err error) (rest []*CarriedLot) {
	for _, p := range FieldProblems(err) {
		var i int
		var field string
		if n, _ := fmt.Sscanf(p.Field, "lots[%d]%s", &i, &field); n < 1 || i < 0 || i >= len(batch) {
			continue
		}
		batch[i].Outcome = Refused
		batch[i].Problems = append(batch[i].Problems, FieldProblem{Field: strings.TrimPrefix(field, "."), Message: p.Message})
	}
	for _, one := range batch {
		if one.Outcome != Refused {
			rest = append(rest, one)
		}
	}
	if len(rest) < len(batch) {
		return rest
	}
	for _, one := range batch {
		one.Outcome, one.Problems = Refused, []FieldProblem{{Message: Explain(err)}}
	}
	return nil
}

// asBegun is a lot in the state in which it was posted: a registry lets it go on
// from there only.
func asBegun(l *pb.Lot) *pb.Lot {
	own := carriedLot(l)
	if steps := l.GetHistory(); len(steps) > 0 {
		own.State = steps[0].GetState()
	}
	return own
}

// createLots has lots made, and notes their names there.
func (c *carrier) createLots(ctx context.Context, req *pb.BatchCreateLotsRequest, from []string) error {
	made, err := c.to.Lots.BatchCreateLots(ctx, req)
	if err != nil {
		return err
	}
	c.wrote(made.GetChange())
	values := map[string]any{pendingKey: nil}
	for i, l := range made.GetLots() {
		values[from[i]] = note{There: l.GetName(), Base: rawOf(req.GetLots()[i]), Steps: 1}
	}
	return c.notes.put(values)
}

// bringOn carries the steps of a lot that was just made there.
func (c *carrier) bringOn(ctx context.Context, one *CarriedLot) error {
	var n note
	if _, err := c.notes.get(one.Lot.GetName(), &n); err != nil {
		return err
	}
	one.There = n.There
	if len(one.Lot.GetHistory()) <= 1 {
		return nil
	}
	got, err := c.to.Lots.GetLot(ctx, &pb.GetLotRequest{Name: n.There})
	if err != nil {
		return err
	}
	if err := c.known(ctx, one, n, got.GetLot()); err != nil {
		return err
	}
	if one.Outcome == Changed {
		one.Outcome = Brought
	}
	return nil
}

// known carries what was changed here in a lot that was carried before.
func (c *carrier) known(ctx context.Context, one *CarriedLot, n note, there *pb.Lot) error {
	one.There = n.There
	if there == nil {
		one.Outcome, one.Conflict = Clash, &Conflict{Why: "it was carried before, and is not there any more"}
		return nil
	}
	base, stood, err := agreement(n, carriedLot(there), carriedLotFields)
	if err != nil {
		return err
	}
	here := carriedLot(one.Lot)
	mine := unlike(base, here, carriedLotFields...)
	theirs := !alike(stood, carriedLot(there), carriedLotFields)
	differs := unlike(here, carriedLot(there), carriedLotFields...).GetPaths()
	switch {
	case len(mine.GetPaths()) == 0:
		return nil
	case len(differs) == 0, theirs && c.settle == Theirs:
		return c.agree(one, there)
	case theirs && c.settle == Show:
		one.Outcome, one.Conflict = Clash, bothChanged(here, there, differs)
		return nil
	case theirs:
		mine.Paths = differs
	}
	return c.change(ctx, one, n, there, mine)
}

// change changes a lot there, in as many steps as its state has taken here.
func (c *carrier) change(ctx context.Context, one *CarriedLot, n note, there *pb.Lot, mine *fieldmaskpb.FieldMask) error {
	states := []pb.LotState{one.Lot.GetState()}
	if steps := one.Lot.GetHistory(); there.GetState() != one.Lot.GetState() && n.Steps < len(steps) {
		states = nil
		for _, s := range steps[n.Steps:] {
			states = append(states, s.GetState())
		}
	}
	for _, state := range states {
		asked := carriedLot(one.Lot)
		asked.State = state
		n.Sent = rawOf(carriedLot(merged(there, asked, mine.GetPaths()).(*pb.Lot)))
		if err := c.notes.put(map[string]any{one.Lot.GetName(): n}); err != nil {
			return err
		}
		asked.Name, asked.Etag = there.GetName(), there.GetEtag()
		made, err := c.to.Lots.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: asked, UpdateMask: mine})
		switch {
		case Code(err) == codes.Aborted:
			one.Outcome, one.Conflict = Clash, &Conflict{Why: "it was being changed there: carry it again"}
			return nil
		case err != nil && refusal(err):
			one.Outcome, one.Problems = Refused, problemsOf(err, "lot.")
			return nil
		case err != nil:
			return err
		}
		c.wrote(made.GetChange())
		there = made.GetLot()
		n.Base, n.Stood, n.Steps = n.Sent, nil, n.Steps+1
		mine = &fieldmaskpb.FieldMask{Paths: []string{"state"}}
	}
	one.Outcome = Changed
	return c.agree(one, there)
}
