package server

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

// acknowledge closes a record that wants attention, stamped with when that was,
// and returns it with the change number of its last write. One that is closed
// stays as it is.
func acknowledge[T resource](ctx context.Context, s *Registry, kind access.Kind, c store.Collection, name string,
	read func(store.Record) (T, error), stamp func(T, *timestamppb.Timestamp),
) (one T, change uint64, err error) {
	err = s.store.Write(ctx, func(tx store.Tx) error {
		r, err := recordOf(ctx, tx, c, name)
		if err != nil {
			return err
		}
		if err := s.may(ctx, tx, under(kind, r)); err != nil {
			return err
		}
		if one, err = read(r); err != nil {
			return err
		}
		if r.Open {
			stamp(one, now(tx))
			r.Open = false
			if r.Body, err = record.Body(one); err != nil {
				return err
			}
			r, err = tx.Update(ctx, r)
		}
		change = r.Revision
		return err
	})
	return one, change, err
}
