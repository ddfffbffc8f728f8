package introduce

import (
	"context"
	"errors"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

func blockName(shop, account string) string { return "blocks/" + shop + "/" + account }

// Blocked is the block between a shop and an account, or nil.
func Blocked(ctx context.Context, from store.Reader, shop, account string) (*pb.KeptBlock, error) {
	r, err := from.Get(ctx, blockName(shop, account))
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return record.Block(r)
}

// Block keeps an account and a shop apart, and answers no to what the account has
// asked for there and has no answer to. What there is already stays as it is.
func Block(ctx context.Context, tx store.Tx, b *pb.KeptBlock) error {
	before, err := Blocked(ctx, tx, b.GetShop(), b.GetAccount())
	if err != nil || before != nil {
		return err
	}
	body, err := record.Body(b)
	if err != nil {
		return err
	}
	if _, err := tx.Create(ctx, store.Record{Name: blockName(b.GetShop(), b.GetAccount()), Collection: store.Blocks, Parent: b.GetShop(), Body: body}); err != nil {
		return err
	}
	return declineAll(ctx, tx, b)
}

func declineAll(ctx context.Context, tx store.Tx, b *pb.KeptBlock) error {
	for l := (store.Listing{Collection: store.AccountIntroductions, Parent: b.GetAccount(), OpenOnly: true}); ; {
		records, err := tx.List(ctx, l)
		if err != nil || len(records) == 0 {
			return err
		}
		l.After = records[len(records)-1].Created
		all, err := Page(ctx, tx, records)
		if err != nil {
			return err
		}
		for _, k := range all {
			if ShopOf(k) != b.GetShop() {
				continue
			}
			k.Introduction.State = pb.IntroductionState_INTRODUCTION_STATE_DECLINED
			k.Introduction.AnswerTime = timestamppb.New(tx.Now())
			if err := Save(ctx, tx, k); err != nil {
				return err
			}
		}
	}
}

// Lift takes a block away. One that is not there is no error.
func Lift(ctx context.Context, tx store.Tx, shop, account string) error {
	_, err := tx.Delete(ctx, blockName(shop, account))
	if errors.Is(err, store.ErrNotFound) {
		return nil
	}
	return err
}

// A DailyError says that an account has done something as often as it may in a day.
type DailyError struct {
	// After is how long until it may again.
	After time.Duration
}

// Error is a sentence.
func (e *DailyError) Error() string { return "introduce: as often as one may in a day" }

const day = 24 * time.Hour

// Daily notes that an account does something once more, or returns a *DailyError if
// it has done so as often as it may in any 24 hours.
func Daily(ctx context.Context, tx store.Tx, account, what string, most int) error {
	name := "dayTimes/" + what + "/" + account
	r, err := tx.Get(ctx, name)
	missing := errors.Is(err, store.ErrNotFound)
	if err != nil && !missing {
		return err
	}
	kept, err := record.Times(r)
	if err != nil {
		return err
	}
	var lately []*timestamppb.Timestamp
	for _, t := range kept.GetTimes() {
		if tx.Now().Sub(t.AsTime()) < day {
			lately = append(lately, t)
		}
	}
	if len(lately) >= most {
		return &DailyError{After: lately[0].AsTime().Add(day).Sub(tx.Now())}
	}
	body, err := record.Body(&pb.KeptTimes{Times: append(lately, timestamppb.New(tx.Now()))})
	if err != nil {
		return err
	}
	put := tx.Update
	if missing {
		put = tx.Create
	}
	_, err = put(ctx, store.Record{Name: name, Collection: store.DayTimes, Parent: account, Body: body})
	return err
}
