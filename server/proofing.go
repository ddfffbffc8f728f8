package server

import (
	"context"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
	"heirpress/server/access"
	"heirpress/server/store"
)

// isGoBetween tells whether the caller speaks for a shop, and is not its keeper.
func isGoBetween(ctx context.Context, from store.Reader, shop string) (bool, error) {
	c := access.From(ctx)
	r, err := access.OfShop(ctx, from, c, shop)
	return r == access.GoBetween && !c.Operator, err
}

// begin gives a lot that does not say its state the first one: what a go-between
// writes is a draft, and nothing else.
func begin(lot *pb.Lot, goBetween bool) error {
	switch {
	case goBetween && lot.GetState() == pb.LotState_LOT_STATE_OFFERED:
		return proofNeeded("what a go-between lists is a draft until the keeper passes its proof: leave the state out, or say draft")
	case lot.GetState() != pb.LotState_LOT_STATE_UNSPECIFIED:
	case goBetween:
		lot.State = pb.LotState_LOT_STATE_DRAFT
	default:
		lot.State = pb.LotState_LOT_STATE_OFFERED
	}
	return nil
}

func proofNeeded(message string) error {
	return problem(codes.FailedPrecondition, ReasonProof, "%s", message)
}

// goBetweenMay refuses what would show people something of a lot that its keeper has
// not passed.
func goBetweenMay(before, lot *pb.Lot) error {
	from, to := before.GetState(), lot.GetState()
	switch {
	case from == pb.LotState_LOT_STATE_DRAFT && to == pb.LotState_LOT_STATE_PROOFED:
		return proofNeeded("a go-between does not pass proofs: its keeper does, with heirpress proof")
	case from == pb.LotState_LOT_STATE_WITHDRAWN && to == pb.LotState_LOT_STATE_OFFERED:
		return proofNeeded("a lot that was withdrawn is offered again by its keeper, or by way of draft and proof")
	case to == pb.LotState_LOT_STATE_DRAFT, from == pb.LotState_LOT_STATE_DRAFT, from == pb.LotState_LOT_STATE_WITHDRAWN:
		return nil
	case !saysTheSame(before, lot):
		return proofNeeded("a lot that is " + trade.StateWord(from) + " says what its keeper has passed: withdraw it and take it back to draft to change it, or ask the keeper")
	}
	return nil
}

// saysTheSame tells whether two lots say the same of themselves: all but where they
// stand, and what was paid.
func saysTheSame(a, b *pb.Lot) bool {
	a, b = proto.CloneOf(a), proto.CloneOf(b)
	for _, l := range []*pb.Lot{a, b} {
		l.State, l.PricePaid, l.History, l.UpdateTime = 0, nil, nil, nil
	}
	return proto.Equal(a, b)
}

// checkOnBehalf checks how a keeper without an account has asked for a shop.
func (s *shopService) checkOnBehalf(note string) error {
	if note != "" && s.config.Accounts == NoAccounts {
		return problem(codes.FailedPrecondition, ReasonAccountsOff, "this registry has no accounts: who posts a shop in it keeps it")
	}
	c := new(checker)
	c.text("on_behalf", note, 5_000)
	return c.err()
}

// goBetweenMayShop refuses a go-between to change what is shown of a shop.
func goBetweenMayShop(ctx context.Context, from store.Reader, shop string) error {
	goBetween, err := isGoBetween(ctx, from, shop)
	if err != nil || !goBetween {
		return err
	}
	shown, err := shopIsShown(ctx, from, shop)
	if err == nil && shown {
		err = proofNeeded("what everybody is shown of a shop is changed by its keeper")
	}
	return err
}

// titleHolder is the account whose titles a shop's is among: its keeper's, or where
// it has none, that of the first who speaks for it.
func titleHolder(ctx context.Context, from store.Reader, shop string) (string, error) {
	keeper, err := access.Owner(ctx, from, shop)
	if err != nil || keeper != "" {
		return keeper, err
	}
	all, err := access.Tied(ctx, from, shop)
	if err != nil || len(all) == 0 {
		return "", err
	}
	return all[0].GetAccount(), nil
}
