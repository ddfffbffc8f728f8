package access

import (
	"context"
	"errors"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// ErrProofCode says that a text is no code for a proof, or one that was used or has
// expired: which of these is nobody's business.
var ErrProofCode = errors.New("access: the code is not good")

const proofMark = "heirpress-proof_"

// NewProofCode writes a code for the proof of a shop and returns it, which is kept
// nowhere, and the change number.
func NewProofCode(ctx context.Context, tx store.Tx, k *pb.KeptProofCode) (code string, change uint64, err error) {
	s := newSecret()
	k.Name, k.Hash, k.CreateTime = proofCodes+s.id, s.hash(), timestamppb.New(tx.Now())
	r, err := proofCodeRecord(k)
	if err != nil {
		return "", 0, err
	}
	r, err = tx.Create(ctx, r)
	return s.text(proofMark), r.Revision, err
}

// proofCodes is what the names of codes begin with.
const proofCodes = "proofCodes/"

// proofCodeRecord is a code as it is kept: open until it is used.
func proofCodeRecord(k *pb.KeptProofCode) (store.Record, error) {
	body, err := record.Body(k)
	return store.Record{Name: k.GetName(), Collection: store.ProofCodes, Parent: k.GetShop(), Open: k.GetUseTime() == nil, Body: body}, err
}

// ProofCode is what a code is kept as, or ErrProofCode. It has expired if it is not
// good at the time.
func ProofCode(ctx context.Context, from store.Reader, code string, at *timestamppb.Timestamp) (*pb.KeptProofCode, error) {
	s, r, ok, err := keptFor(ctx, from, proofMark, code, proofCodes)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, ErrProofCode
	}
	k, err := record.ProofCode(r)
	if err != nil {
		return nil, err
	}
	if !s.is(k.GetHash()) || k.GetUseTime() != nil || !at.AsTime().Before(k.GetExpireTime().AsTime()) {
		return nil, ErrProofCode
	}
	return k, nil
}

// UseProofCode marks a code as used.
func UseProofCode(ctx context.Context, tx store.Tx, k *pb.KeptProofCode) error {
	k.UseTime = timestamppb.New(tx.Now())
	r, err := proofCodeRecord(k)
	if err != nil {
		return err
	}
	_, err = tx.Update(ctx, r)
	return err
}

// ProofCodeMaker is the account that made a code.
func ProofCodeMaker(ctx context.Context, from store.Reader, name string) (string, error) {
	r, err := from.Get(ctx, name)
	if err != nil {
		return "", err
	}
	k, err := record.ProofCode(r)
	return k.GetCreateAccount(), err
}
