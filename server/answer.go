package server

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/introduce"
	"heirpress/server/private"
	"heirpress/server/store"
)

var answered = map[pb.IntroductionAnswer]pb.IntroductionState{
	pb.IntroductionAnswer_INTRODUCTION_ANSWER_YES:   pb.IntroductionState_INTRODUCTION_STATE_ACCEPTED,
	pb.IntroductionAnswer_INTRODUCTION_ANSWER_NO:    pb.IntroductionState_INTRODUCTION_STATE_DECLINED,
	pb.IntroductionAnswer_INTRODUCTION_ANSWER_LATER: pb.IntroductionState_INTRODUCTION_STATE_LATER,
}

func (s *introductionService) AnswerIntroduction(ctx context.Context, req *pb.AnswerIntroductionRequest) (*pb.AnswerIntroductionResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	if err := checkAnswer(req); err != nil {
		return nil, err
	}
	answer := new(pb.AnswerIntroductionResponse)
	err := s.store.Write(ctx, func(tx store.Tx) error {
		k, err := s.introductionOf(ctx, tx, req.GetName())
		if err != nil {
			return err
		}
		if err := s.answer(ctx, tx, k, req); err != nil {
			return err
		}
		answer.Introduction, err = s.toldWithContact(ctx, tx, k)
		answer.Change = answer.GetIntroduction().GetRevision()
		return err
	})
	return answer, err
}

func checkAnswer(req *pb.AnswerIntroductionRequest) error {
	c := new(checker)
	if answered[req.GetAnswer()] == 0 {
		c.wrong("answer", "is missing: say yes, no or later")
	}
	if req.GetPromise() && req.GetAnswer() != pb.IntroductionAnswer_INTRODUCTION_ANSWER_YES {
		c.wrong("promise", "goes with yes only")
	}
	c.text("note", req.GetNote(), 2_000)
	return c.err()
}

// answer writes an answer, and what it brings with it.
func (s *introductionService) answer(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction, req *pb.AnswerIntroductionRequest) error {
	before := proto.CloneOf(k)
	to := answered[req.GetAnswer()]
	if err := mayAnswer(k.GetIntroduction(), to); err != nil {
		return err
	}
	if to == pb.IntroductionState_INTRODUCTION_STATE_ACCEPTED && introduce.Open(k) {
		if err := s.exchange(ctx, tx, k); err != nil {
			return err
		}
	}
	k.Introduction.State = to
	if note := strings.TrimSpace(req.GetNote()); note != "" {
		k.Introduction.AnswerNote = note
	}
	if req.GetPromise() {
		if err := s.promise(ctx, tx, k); err != nil {
			return err
		}
	}
	if proto.Equal(before, k) {
		return nil
	}
	k.AnswerAccount, k.Introduction.AnswerTime = access.From(ctx).Account, now(tx)
	return introduce.Save(ctx, tx, k)
}

// mayAnswer refuses to answer otherwise what was answered for good.
func mayAnswer(i *pb.Introduction, to pb.IntroductionState) error {
	switch from := i.GetState(); {
	case from == to:
		return nil
	case from == pb.IntroductionState_INTRODUCTION_STATE_ACCEPTED:
		return unreachable(i.GetName(), "the answer was yes, and each side has the other's contact: that cannot be taken back. To have no more to do with each other, block")
	case from == pb.IntroductionState_INTRODUCTION_STATE_DECLINED:
		return unreachable(i.GetName(), "the answer was no, and that is final for this lot")
	case from == pb.IntroductionState_INTRODUCTION_STATE_CLOSED:
		return unreachable(i.GetName(), "the lot has found its home")
	}
	return nil
}

// exchange keeps for each side the other's private place, as it stands now.
func (s *introductionService) exchange(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction) error {
	err := s.show(ctx, tx, introduce.ShopOf(k), keeperCopy(k))
	if errors.Is(err, store.ErrNotFound) {
		return contactNeeded("the shop has no contact yet that could be shown: heirpress contact SHOP --set FILE")
	}
	if err != nil {
		return err
	}
	err = s.show(ctx, tx, k.GetAccount(), askerCopy(k))
	if errors.Is(err, store.ErrNotFound) {
		return contactNeeded("who asked has taken their contact away since: answer later, or no")
	}
	return err
}

// show keeps the private place of a shop or account under another name too.
func (s *introductionService) show(ctx context.Context, tx store.Tx, whose, as string) error {
	p, err := s.config.Keys.Get(ctx, tx, private.NameOf(whose))
	if err != nil {
		return err
	}
	p.Name = as
	if _, err := s.config.Keys.Put(ctx, tx, p); err != nil {
		return err
	}
	return audit(ctx, tx, actExchange, as)
}

// promise promises the lot to who asks, and moves it on.
func (s *introductionService) promise(ctx context.Context, tx store.Tx, k *pb.KeptIntroduction) error {
	if k.GetPromiseTime() != nil {
		return nil
	}
	r, err := recordOf(ctx, tx, store.Lots, k.GetIntroduction().GetLot())
	if err != nil {
		return err
	}
	lot, err := lotOf(ctx, tx, r.Name)
	if err != nil {
		return err
	}
	if lot.GetState() == pb.LotState_LOT_STATE_PROMISED {
		return unreachable(lot.GetName(), "it is promised to somebody else: take that back first, with heirpress edit and state=offered")
	}
	to := proto.CloneOf(lot)
	to.State = pb.LotState_LOT_STATE_PROMISED
	if _, err := writeLot(ctx, tx, r.Parent, lot, to); err != nil {
		return fmt.Errorf("promise: %w", err)
	}
	k.PromiseTime = now(tx)
	return nil
}
