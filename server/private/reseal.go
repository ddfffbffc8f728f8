package private

import (
	"context"
	"errors"
	"fmt"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// Reseal seals every place anew that is not sealed with the first key, and returns
// how many those were. It can be stopped, and goes on when it is called again.
func (k Keys) Reseal(ctx context.Context, s store.Store) (n int, err error) {
	keys, err := k.read()
	if err != nil {
		return 0, err
	}
	err = each(ctx, s, func(r store.Record, sealedWith string) error {
		if sealedWith == keys[0].id {
			return nil
		}
		n++
		return s.Write(ctx, func(tx store.Tx) error { return reseal(ctx, tx, keys, r.Name) })
	})
	return n, err
}

// reseal seals one place anew, as it stands now.
func reseal(ctx context.Context, tx store.Tx, keys []key, name string) error {
	r, err := tx.Get(ctx, name)
	if errors.Is(err, store.ErrNotFound) {
		return nil // it was deleted meanwhile
	}
	if err != nil {
		return err
	}
	p, err := open(keys, r)
	if err != nil {
		return err
	}
	if r, err = seal(keys[0], p); err != nil {
		return err
	}
	_, err = tx.Update(ctx, r)
	return err
}

// each calls do with every sealed place and the key that it is sealed with.
func each(ctx context.Context, from store.Reader, do func(r store.Record, sealedWith string) error) error {
	for r, err := range store.Each(ctx, from, store.Listing{Collection: store.PrivatePlaces, AnyParent: true}) {
		if err != nil {
			return err
		}
		sealed := new(pb.SealedPlace)
		if err := proto.Unmarshal(r.Body, sealed); err != nil {
			return fmt.Errorf("private: record %s is no sealed place", r.Name)
		}
		if err := do(r, sealed.GetKey()); err != nil {
			return err
		}
	}
	return nil
}

// A NeededError says that an old key cannot be dropped yet.
type NeededError struct {
	// Key is its id.
	Key string
}

// Error says what to do first.
func (e *NeededError) Error() string {
	return fmt.Sprintf("a private place is still sealed with the key %s: run heirpressd key reseal first", e.Key)
}

// DropOld takes all keys but the first out of the file, and returns their ids. It
// returns a *NeededError, and leaves the file as it is, while a place in the
// registry is sealed with another.
func (k Keys) DropOld(ctx context.Context, from store.Reader) ([]string, error) {
	keys, err := k.read()
	if err != nil {
		return nil, err
	}
	err = each(ctx, from, func(_ store.Record, sealedWith string) error {
		if sealedWith != keys[0].id {
			return &NeededError{Key: sealedWith}
		}
		return nil
	})
	if err != nil || len(keys) == 1 {
		return nil, err
	}
	var dropped []string
	for _, old := range keys[1:] {
		dropped = append(dropped, old.id)
	}
	return dropped, k.write(keys[:1])
}
