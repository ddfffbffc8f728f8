package introduce

import (
	"context"
	"crypto/rand"
	"errors"
	"strings"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// MostOfALot is how many introductions there can be to one lot, answered ones too.
const MostOfALot = 200

// ErrTooMany says that a lot was asked for as often as it can be.
var ErrTooMany = errors.New("introduce: the lot was asked for as often as it can be")

// ShopOf is the shop that an introduction is to.
func ShopOf(k *pb.KeptIntroduction) string {
	shop, _, _ := strings.Cut(k.GetIntroduction().GetLot(), "/lots/")
	return shop
}

// Open tells whether an introduction still wants an answer.
func Open(k *pb.KeptIntroduction) bool {
	switch k.GetIntroduction().GetState() {
	case pb.IntroductionState_INTRODUCTION_STATE_ASKED, pb.IntroductionState_INTRODUCTION_STATE_LATER:
		return true
	}
	return false
}

// records are an introduction as it is kept: itself under its lot, and its name
// under the shop and under who asks.
func records(k *pb.KeptIntroduction) ([]store.Record, error) {
	name := k.GetIntroduction().GetName()
	body, err := record.Body(k)
	return []store.Record{
		{Name: name, Collection: store.Introductions, Parent: k.GetIntroduction().GetLot(), Key: k.GetAccount(), Open: Open(k), Body: body},
		{Name: "shops/" + name, Collection: store.ShopIntroductions, Parent: ShopOf(k), Open: Open(k), Body: []byte(name)},
		{Name: "askers/" + name, Collection: store.AccountIntroductions, Parent: k.GetAccount(), Open: Open(k), Body: []byte(name)},
	}, err
}

// New writes an introduction, which gets its name and time. It returns ErrTooMany.
func New(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction) error {
	n, err := tx.Count(ctx, store.Introductions, k.GetIntroduction().GetLot())
	if err != nil {
		return err
	}
	if n >= MostOfALot {
		return ErrTooMany
	}
	k.Introduction.Name = "introductions/" + strings.ToLower(rand.Text()[:12])
	k.Introduction.CreateTime = timestamppb.New(tx.Now())
	k.Introduction.State = pb.IntroductionState_INTRODUCTION_STATE_ASKED
	return write(ctx, k, tx.Create)
}

// Save writes an introduction that has changed.
func Save(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction) error {
	return write(ctx, k, tx.Update)
}

func write(ctx context.Context, k *pb.KeptIntroduction, how func(context.Context, store.Record) (store.Record, error)) error {
	all, err := records(k)
	if err != nil {
		return err
	}
	for i, r := range all {
		if r, err = how(ctx, r); err != nil {
			return err
		}
		if i == 0 {
			k.Introduction.Revision = r.Revision
		}
	}
	return nil
}

// Asked is the introduction of an account to a lot, or nil.
func Asked(ctx context.Context, from store.Reader, lot, account string) (*pb.KeptIntroduction, error) {
	r, err := from.Find(ctx, store.Introductions, lot, account)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return record.Introduction(r)
}

// OfLot are the introductions to a lot in the order they were asked. There are at
// most MostOfALot.
func OfLot(ctx context.Context, from store.Reader, lot string) ([]*pb.KeptIntroduction, error) {
	records, err := from.List(ctx, store.Listing{Collection: store.Introductions, Parent: lot})
	if err != nil {
		return nil, err
	}
	return readAll(records)
}

func readAll(records []store.Record) ([]*pb.KeptIntroduction, error) {
	all := make([]*pb.KeptIntroduction, len(records))
	for i, r := range records {
		var err error
		if all[i], err = record.Introduction(r); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// Page are the introductions that a page of ShopIntroductions or
// AccountIntroductions names, in its order.
func Page(ctx context.Context, from store.Reader, page []store.Record) ([]*pb.KeptIntroduction, error) {
	names := make([]string, len(page))
	for i, r := range page {
		names[i] = string(r.Body)
	}
	found, err := from.GetMany(ctx, names)
	if err != nil {
		return nil, err
	}
	byName := make(map[string]store.Record, len(found))
	for _, r := range found {
		byName[r.Name] = r
	}
	ordered := make([]store.Record, len(names))
	for i, name := range names {
		ordered[i] = byName[name]
	}
	return readAll(ordered)
}
