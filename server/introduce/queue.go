package introduce

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// Standing is where an introduction stands among those to its lot.
type Standing struct {
	// Before is how many asked before and were not told no.
	Before int
	// Promised tells that the lot is promised to it, ToAnother that it is promised
	// to somebody else.
	Promised, ToAnother bool
}

// Stand is the standing of an introduction among all those to its lot, in the order
// they were asked.
func Stand(k *pb.KeptIntroduction, all []*pb.KeptIntroduction, lot pb.LotState) Standing {
	s := Standing{Promised: lot == pb.LotState_LOT_STATE_PROMISED && k.GetPromiseTime() != nil}
	s.ToAnother = lot == pb.LotState_LOT_STATE_PROMISED && !s.Promised
	for _, other := range all {
		if other.GetIntroduction().GetName() == k.GetIntroduction().GetName() {
			return s
		}
		if Open(other) || other.GetIntroduction().GetState() == pb.IntroductionState_INTRODUCTION_STATE_ACCEPTED {
			s.Before++
		}
	}
	return s
}

// LotMoved does what follows when a lot goes to another state. If it is promised no
// more, nobody's promise stands. If it has found a home, it is with whom it was
// promised to, and who else waited for an answer need not wait any longer.
func LotMoved(ctx context.Context, tx store.Tx, lot *pb.Lot) error {
	if lot.GetState() == pb.LotState_LOT_STATE_PROMISED {
		return nil
	}
	all, err := OfLot(ctx, tx, lot.GetName())
	if err != nil {
		return err
	}
	gone := lot.GetState() == pb.LotState_LOT_STATE_REHOMED
	for _, k := range all {
		promised := k.GetPromiseTime() != nil
		switch {
		case promised && gone:
			if err := rehomed(ctx, tx, k, lot); err != nil {
				return err
			}
		case promised:
			k.PromiseTime = nil
		case gone && Open(k):
			k.Introduction.State = pb.IntroductionState_INTRODUCTION_STATE_CLOSED
			k.Introduction.AnswerTime = timestamppb.New(tx.Now())
		default:
			continue
		}
		if err := Save(ctx, tx, k); err != nil {
			return err
		}
	}
	return nil
}

// rehomed writes down what somebody has given a home.
func rehomed(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction, lot *pb.Lot) error {
	body, err := record.Body(&pb.Rehoming{LotTitle: lot.GetTitle(), ShopTitle: lot.GetShopTitle(), Time: timestamppb.New(tx.Now())})
	if err != nil {
		return err
	}
	_, err = tx.Create(ctx, store.Record{
		Name: "rehomings/" + k.GetIntroduction().GetName(), Collection: store.Rehomings, Parent: k.GetAccount(), Body: body,
	})
	return err
}

// MostShown is how many rehomings a keeper is shown.
const MostShown = 5

// Rehomed is how many lots an account has given a home, and the last of them, the
// latest first.
func Rehomed(ctx context.Context, from store.Reader, account string) (n int, last []*pb.Rehoming, err error) {
	for l := (store.Listing{Collection: store.Rehomings, Parent: account}); ; {
		records, err := from.List(ctx, l)
		if err != nil || len(records) == 0 {
			return n, last, err
		}
		n += len(records)
		l.After = records[len(records)-1].Created
		for _, r := range records[max(0, len(records)-MostShown):] {
			h, err := record.Rehoming(r)
			if err != nil {
				return 0, nil, err
			}
			last = append([]*pb.Rehoming{h}, last...)
		}
		last = last[:min(len(last), MostShown)]
	}
}
