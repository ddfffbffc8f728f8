package server

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

type proofService struct {
	pb.UnimplementedProofServiceServer
	*Registry
}

const (
	mostInProof      = 1_000 // lots
	usualProofCode   = 14 * 24 * time.Hour
	longestProofCode = 90 * 24 * time.Hour
)

// opened is a proof as a call may use it.
type opened struct {
	// ctx says who calls: the caller, or the code that stands for a keeper.
	ctx  context.Context
	shop *pb.Shop
	// code is the code that was shown, or nil.
	code *pb.KeptProofCode
}

// open is a shop whose proof the caller may do what they ask with, by what they are
// to it or by a code.
func (s *proofService) open(ctx context.Context, from store.Reader, shop, code string) (*opened, error) {
	o := &opened{ctx: ctx}
	if code != "" {
		k, err := access.ProofCode(ctx, from, code, timestamppb.Now())
		if err != nil {
			return nil, err
		}
		o.code, shop = k, k.GetShop()
		o.ctx = access.With(ctx, access.Caller{ProofCode: k.GetName()})
	}
	var err error
	if o.shop, err = get(ctx, from, store.Shops, shop, record.Shop); err != nil {
		return nil, err
	}
	t := theShop(ctx, from, shop)
	if code != "" {
		t = thing{kind: access.AProofCode, called: "shop", name: shop, state: stateless}
	}
	return o, s.may(ctx, from, t)
}

// guessed counts a code that is none, and says so.
func (s *proofService) guessed(ctx context.Context, err error) error {
	if !errors.Is(err, access.ErrProofCode) {
		return err
	}
	s.guesses.failed(addressOf(ctx))
	return invalid("code", "is not known, was used or has expired: ask whoever gave it to you for another")
}

// mayTryCode refuses to look at another code from where too many were none.
func (s *proofService) mayTryCode(ctx context.Context, code string) error {
	if code == "" {
		return nil
	}
	return s.guesses.mayTry(addressOf(ctx))
}

func (s *proofService) GetProof(ctx context.Context, req *pb.GetProofRequest) (*pb.GetProofResponse, error) {
	if err := s.mayTryCode(ctx, req.GetCode()); err != nil {
		return nil, err
	}
	o, err := s.open(ctx, s.store, req.GetShop(), req.GetCode())
	if err != nil {
		return nil, s.guessed(ctx, err)
	}
	proof, err := proofOf(ctx, s.store, o.shop)
	return &pb.GetProofResponse{Proof: proof}, err
}

// proofOf is what waits to be passed of a shop.
func proofOf(ctx context.Context, from store.Reader, shop *pb.Shop) (*pb.Proof, error) {
	proof := &pb.Proof{Shop: shop}
	if err := countLots(ctx, from, shop); err != nil {
		return nil, err
	}
	for r, err := range store.Each(ctx, from, store.Listing{Collection: store.Lots, Parent: shop.GetName()}) {
		if err != nil {
			return nil, err
		}
		lot, err := record.Lot(r)
		if err != nil {
			return nil, err
		}
		if lot.GetState() != pb.LotState_LOT_STATE_DRAFT {
			continue
		}
		if proof.Lots = append(proof.Lots, lot); len(proof.GetLots()) == mostInProof {
			break
		}
	}
	var err error
	proof.Corrections, _, err = corrections(ctx, from, shop.GetName())
	proof.Etag = proofEtag(proof)
	return proof, err
}

// proofEtag is another for another proof: of the revision of the shop and of every
// lot in it, by name.
func proofEtag(p *pb.Proof) string {
	h := sha256.New()
	note := func(name string, revision uint64) {
		h.Write(binary.BigEndian.AppendUint64([]byte(name+"\x00"), revision))
	}
	note(p.GetShop().GetName(), p.GetShop().GetRevision())
	for _, l := range p.GetLots() {
		note(l.GetName(), l.GetRevision())
	}
	return tokenText.EncodeToString(h.Sum(nil)[:12])
}

// corrections are the corrections to a shop that were not passed, with their
// records.
func corrections(ctx context.Context, from store.Reader, shop string) (all []*pb.Correction, records []store.Record, err error) {
	for r, err := range store.Each(ctx, from, store.Listing{Collection: store.Corrections, Parent: shop, OpenOnly: true}) {
		if err != nil {
			return all, records, err
		}
		c, err := record.Correction(r)
		if err != nil {
			return nil, nil, err
		}
		all, records = append(all, c), append(records, r)
	}
	return all, records, nil
}

func (s *proofService) PassProof(ctx context.Context, req *pb.PassProofRequest) (*pb.PassProofResponse, error) {
	if err := s.mayTryCode(ctx, req.GetCode()); err != nil {
		return nil, err
	}
	if req.GetEtag() == "" {
		return nil, invalid("etag", "is missing: read the proof first, and give its etag, so that nothing is passed that was not read")
	}
	var answer *pb.PassProofResponse
	var shop string
	err := s.store.Write(ctx, func(tx store.Tx) error {
		o, err := s.open(ctx, tx, req.GetShop(), req.GetCode())
		if err != nil {
			return err
		}
		shop = o.shop.GetName()
		if answer, err = pass(o, tx, req); err != nil {
			return err
		}
		if err := o.use(tx); err != nil {
			return err
		}
		return audit(o.ctx, tx, actPass, shop)
	})
	s.logged(ctx, err, actPass, shop)
	return answer, s.guessed(ctx, err)
}

// use marks the code as used, if there is one.
func (o *opened) use(tx store.Tx) error {
	if o.code == nil {
		return nil
	}
	return access.UseProofCode(o.ctx, tx, o.code)
}

// pass passes what a request asks of a proof.
func pass(o *opened, tx store.Tx, req *pb.PassProofRequest) (*pb.PassProofResponse, error) {
	proof, err := proofOf(o.ctx, tx, o.shop)
	if err != nil {
		return nil, err
	}
	if req.GetEtag() != proof.GetEtag() {
		return nil, stale("the proof of "+o.shop.GetName(), proof.GetEtag())
	}
	lots, err := chosen(proof, req.GetLots())
	if err != nil {
		return nil, err
	}
	answer := new(pb.PassProofResponse)
	for _, lot := range lots {
		passed, err := passLot(o.ctx, tx, o.shop.GetName(), lot, req.GetHold())
		if err != nil {
			return nil, err
		}
		answer.Lots = append(answer.Lots, passed)
	}
	if err := settleCorrections(o.ctx, tx, o.shop.GetName(), lots); err != nil {
		return nil, err
	}
	answer.Change, err = tx.Head(o.ctx)
	return answer, err
}

// chosen are the lots of a proof that are named, or all.
func chosen(p *pb.Proof, names []string) ([]*pb.Lot, error) {
	if len(p.GetLots()) == 0 {
		return nil, unreachable(p.GetShop().GetName(), "there is nothing to pass: it has no draft")
	}
	if len(names) == 0 {
		return p.GetLots(), nil
	}
	var lots []*pb.Lot
	for _, name := range names {
		i := slices.IndexFunc(p.GetLots(), func(l *pb.Lot) bool { return l.GetName() == name })
		if i < 0 {
			return nil, invalid("lots", name+" is not in the proof")
		}
		lots = append(lots, p.GetLots()[i])
	}
	return lots, nil
}

// passLot makes a draft proofed, and offers it, unless it is to be held.
func passLot(ctx context.Context, tx store.Tx, shop string, lot *pb.Lot, hold bool) (*pb.Lot, error) {
	steps := []pb.LotState{pb.LotState_LOT_STATE_PROOFED, pb.LotState_LOT_STATE_OFFERED}
	if hold {
		steps = steps[:1]
	}
	for _, to := range steps {
		next := proto.CloneOf(lot)
		next.State = to
		var err error
		if lot, err = writeLot(ctx, tx, shop, lot, next); err != nil {
			return nil, err
		}
	}
	return lot, nil
}

// settleCorrections puts away the corrections of the shop and of lots that were
// passed.
func settleCorrections(ctx context.Context, tx store.Tx, shop string, lots []*pb.Lot) error {
	all, records, err := corrections(ctx, tx, shop)
	if err != nil {
		return err
	}
	for i, c := range all {
		if c.GetLot() != "" && !slices.ContainsFunc(lots, func(l *pb.Lot) bool { return l.GetName() == c.GetLot() }) {
			continue
		}
		c.PassTime = now(tx)
		r := records[i]
		if r.Body, err = record.Body(c); err != nil {
			return err
		}
		r.Open = false
		if _, err := tx.Update(ctx, r); err != nil {
			return err
		}
	}
	return nil
}

func (s *proofService) CorrectProof(ctx context.Context, req *pb.CorrectProofRequest) (*pb.CorrectProofResponse, error) {
	if err := s.mayTryCode(ctx, req.GetCode()); err != nil {
		return nil, err
	}
	if err := checkCorrections(req.GetCorrections()); err != nil {
		return nil, err
	}
	answer := new(pb.CorrectProofResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		o, err := s.open(ctx, tx, req.GetShop(), req.GetCode())
		if err != nil {
			return err
		}
		if answer.Corrections, err = correct(o, tx, req.GetCorrections()); err != nil {
			return err
		}
		if err := o.use(tx); err != nil {
			return err
		}
		answer.Change, err = tx.Head(ctx)
		return err
	})
	return answer, s.guessed(ctx, err)
}

func checkCorrections(all []*pb.Correction) error {
	if n := len(all); n == 0 || n > mostInProof {
		return invalid("corrections", fmt.Sprintf("has %d corrections: 1 to %d", n, mostInProof))
	}
	c := new(checker)
	for i, one := range all {
		c.required(fmt.Sprintf("corrections[%d].note", i), strings.TrimSpace(one.GetNote()), 2_000)
	}
	return c.err()
}

// correct writes corrections down.
func correct(o *opened, tx store.Tx, asked []*pb.Correction) (written []*pb.Correction, err error) {
	for i, a := range asked {
		if a.GetLot() != "" {
			draft, err := isDraftOf(o.ctx, tx, o.shop.GetName(), a.GetLot())
			if err != nil {
				return nil, err
			}
			if !draft {
				return nil, invalid(fmt.Sprintf("corrections[%d].lot", i), "is no draft of this shop: "+a.GetLot())
			}
		}
		c := &pb.Correction{Lot: a.GetLot(), Note: strings.TrimSpace(a.GetNote()), Author: access.From(o.ctx).Author(), CreateTime: now(tx)}
		body, err := record.Body(c)
		if err != nil {
			return nil, err
		}
		r := store.Record{Name: "corrections/" + newID(""), Collection: store.Corrections, Parent: o.shop.GetName(), Open: true, Body: body}
		if _, err := tx.Create(o.ctx, r); err != nil {
			return nil, err
		}
		written = append(written, c)
	}
	return written, nil
}

// isDraftOf tells whether a name is of a draft of a shop.
func isDraftOf(ctx context.Context, from store.Reader, shop, name string) (bool, error) {
	r, err := from.Get(ctx, name)
	if errors.Is(err, store.ErrNotFound) || err == nil && (r.Collection != store.Lots || r.Parent != shop) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	lot, err := record.Lot(r)
	return lot.GetState() == pb.LotState_LOT_STATE_DRAFT, err
}

func (s *proofService) CreateProofCode(ctx context.Context, req *pb.CreateProofCodeRequest) (*pb.CreateProofCodeResponse, error) {
	if s.config.Accounts == NoAccounts {
		return nil, problem(codes.FailedPrecondition, ReasonAccountsOff, "this registry has no accounts: whoever can reach it can pass its proofs, without a code")
	}
	c := new(checker)
	expires := c.expiry("expire_time", req.GetExpireTime(), usualProofCode, longestProofCode)
	if err := c.err(); err != nil {
		return nil, err
	}
	answer := &pb.CreateProofCodeResponse{ExpireTime: expires}
	err := s.store.Write(ctx, func(tx store.Tx) error {
		if _, err := recordOf(ctx, tx, store.Shops, req.GetShop()); err != nil {
			return err
		}
		if err := s.mayMakeCode(ctx, tx, req.GetShop()); err != nil {
			return err
		}
		var err error
		answer.Code, answer.Change, err = access.NewProofCode(ctx, tx, &pb.KeptProofCode{
			Shop: req.GetShop(), CreateAccount: access.From(ctx).Account, ExpireTime: expires,
		})
		if err != nil {
			return err
		}
		return audit(ctx, tx, actProofCode, req.GetShop())
	})
	s.logged(ctx, err, actProofCode, req.GetShop())
	return answer, err
}

// mayMakeCode refuses a code to whom the shop is none of theirs, and to a go-between
// where the keeper has an account to pass the proof with.
func (s *proofService) mayMakeCode(ctx context.Context, from store.Reader, shop string) error {
	t := theShop(ctx, from, shop)
	keeper, err := access.Owner(ctx, from, shop)
	if err != nil {
		return err
	}
	if keeper == "" {
		t.kind, t.state = access.AKeeperlessShop, stateless
	}
	return s.may(ctx, from, t)
}
