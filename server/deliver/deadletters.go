package deliver

import (
	"context"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// DeadLetters are the dispatches that were given up, the oldest first. They are
// for the operator.
func DeadLetters(ctx context.Context, s store.Reader) ([]*pb.Dispatch, error) {
	var all []*pb.Dispatch
	for r, err := range store.Each(ctx, s, store.Listing{Collection: store.DeadLetters}) {
		if err != nil {
			return all, err
		}
		one, err := read[pb.Dispatch](r)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, nil
}

// DeadLetter is one of them by its id, or store.ErrNotFound.
func DeadLetter(ctx context.Context, s store.Reader, id string) (*pb.Dispatch, error) {
	r, err := s.Get(ctx, deadName("dispatches/"+id))
	if err != nil {
		return nil, err
	}
	return read[pb.Dispatch](r)
}

// Retry takes a dispatch out of the dead-letter box and has it tried again, from
// the first try on and with the id that it had. It returns store.ErrNotFound if
// it does not lie there.
func Retry(ctx context.Context, s store.Store, id string, now time.Time) error {
	return s.Write(ctx, func(tx store.Tx) error {
		one, err := DeadLetter(ctx, tx, id)
		if err != nil {
			return err
		}
		if _, err := tx.Delete(ctx, deadName(one.GetName())); err != nil {
			return err
		}
		one.State, one.Tries, one.EndTime = pb.DispatchState_DISPATCH_STATE_DUE, 0, nil
		one.NextTryTime = timestamppb.New(now)
		return update(ctx, tx, one)
	})
}
