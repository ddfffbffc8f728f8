package private

import (
	"context"
	"errors"
	"fmt"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// NameOf is the name of the private place of a shop, "shops/{shop}", of an account,
// or of one side of an introduction.
func NameOf(whose string) string { return whose + "/privatePlace" }

// Put writes a private place under its name, over what was there, and returns the
// change number.
func (k Keys) Put(ctx context.Context, tx store.Tx, p *pb.PrivatePlace) (uint64, error) {
	keys, err := k.read()
	if err != nil {
		return 0, err
	}
	r, err := seal(keys[0], p)
	if err != nil {
		return 0, err
	}
	written, err := tx.Update(ctx, r)
	if errors.Is(err, store.ErrNotFound) {
		written, err = tx.Create(ctx, r)
	}
	return written.Revision, err
}

func seal(with key, p *pb.PrivatePlace) (store.Record, error) {
	plain, err := record.Body(p)
	if err != nil {
		return store.Record{}, err
	}
	sealed := with.aead().Seal(nil, nil, plain, []byte(p.GetName()))
	body, err := record.Body(&pb.SealedPlace{Key: with.id, Sealed: sealed})
	return store.Record{Name: p.GetName(), Collection: store.PrivatePlaces, Body: body}, err
}

// Get is the private place of a name, or store.ErrNotFound.
func (k Keys) Get(ctx context.Context, from store.Reader, name string) (*pb.PrivatePlace, error) {
	keys, err := k.read()
	if err != nil {
		return nil, err
	}
	r, err := from.Get(ctx, name)
	if err == nil && r.Collection != store.PrivatePlaces {
		err = store.ErrNotFound
	}
	if err != nil {
		return nil, err
	}
	return open(keys, r)
}

// open opens what a record has. Its errors have nothing of what that is.
func open(keys []key, r store.Record) (*pb.PrivatePlace, error) {
	sealed := new(pb.SealedPlace)
	if err := proto.Unmarshal(r.Body, sealed); err != nil {
		return nil, fmt.Errorf("private: record %s is no sealed place", r.Name)
	}
	for _, one := range keys {
		if one.id != sealed.GetKey() {
			continue
		}
		plain, err := one.aead().Open(nil, nil, sealed.GetSealed(), []byte(r.Name))
		p := new(pb.PrivatePlace)
		if err != nil || proto.Unmarshal(plain, p) != nil {
			return nil, fmt.Errorf("private: record %s is not what was sealed under its name", r.Name)
		}
		return p, nil
	}
	return nil, fmt.Errorf("private: record %s is sealed with the key %s, which the file of keys does not have", r.Name, sealed.GetKey())
}

// Has tells whether there is a private place of a name, without opening it.
func Has(ctx context.Context, from store.Reader, name string) (bool, error) {
	r, err := from.Get(ctx, name)
	if errors.Is(err, store.ErrNotFound) {
		return false, nil
	}
	return r.Collection == store.PrivatePlaces, err
}

// Delete takes a private place away. One that is not there is no error. It returns
// the change number.
func Delete(ctx context.Context, tx store.Tx, name string) (uint64, error) {
	if has, err := Has(ctx, tx, name); err != nil || !has {
		return 0, err
	}
	return tx.Delete(ctx, name)
}
