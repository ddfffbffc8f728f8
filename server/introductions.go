package server

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/introduce"
	"heirpress/server/private"
	"heirpress/server/record"
	"heirpress/server/store"
)

type introductionService struct {
	pb.UnimplementedIntroductionServiceServer
	*Registry
}

// peopleThere refuses what needs people who can be told apart, and a key to keep
// their addresses under.
func (r *Registry) peopleThere() error {
	if r.config.Accounts == NoAccounts {
		return problem(codes.FailedPrecondition, ReasonAccountsOff, "introductions are between the people of a shared registry, and this one has no accounts: name a shared one with --server")
	}
	return r.keysThere()
}

// ownIntroduction tells whether the caller is who asks.
func ownIntroduction(ctx context.Context, k *pb.KeptIntroduction) bool {
	account := access.From(ctx).Account
	return account != "" && account == k.GetAccount()
}

// theIntroduction is an introduction as a thing, seen from the side of the caller.
func theIntroduction(ctx context.Context, k *pb.KeptIntroduction) thing {
	t := thing{
		kind: access.AnIntroduction, called: called[store.Introductions], name: k.GetIntroduction().GetName(),
		of: introduce.ShopOf(k), state: stateless,
	}
	if ownIntroduction(ctx, k) {
		t.kind, t.of = access.AnOwnIntroduction, k.GetAccount()
	}
	return t
}

// introductionOf reads an introduction with which the caller may do what they ask.
func (s *introductionService) introductionOf(ctx context.Context, from store.Reader, name string) (*pb.KeptIntroduction, error) {
	r, err := recordOf(ctx, from, store.Introductions, name)
	if err != nil {
		return nil, err
	}
	k, err := record.Introduction(r)
	if err != nil {
		return nil, err
	}
	return k, s.may(ctx, from, theIntroduction(ctx, k))
}

func (s *introductionService) GetIntroduction(ctx context.Context, req *pb.GetIntroductionRequest) (*pb.GetIntroductionResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	k, err := s.introductionOf(ctx, s.store, req.GetName())
	if err != nil {
		return nil, err
	}
	i, err := s.toldWithContact(ctx, s.store, k)
	return &pb.GetIntroductionResponse{Introduction: i}, err
}

func (s *introductionService) ListIntroductions(ctx context.Context, req *pb.ListIntroductionsRequest) (*pb.ListIntroductionsResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	asked := &pb.ListIntroductionsRequest{Shop: req.GetShop(), IncludeAnswered: req.GetIncludeAnswered()}
	listing, err := s.listing(ctx, store.AccountIntroductions, asked, req)
	if err != nil {
		return nil, err
	}
	listing.Parent, listing.OpenOnly = access.From(ctx).Account, !req.GetIncludeAnswered()
	switch shop := req.GetShop(); shop {
	case "":
	case everyShop:
		return s.introductionsToAll(ctx, listing, asked)
	default:
		if _, err := recordOf(ctx, s.store, store.Shops, shop); err != nil {
			return nil, err
		}
		if err := s.may(ctx, s.store, theShop(ctx, s.store, shop)); err != nil {
			return nil, err
		}
		listing.Collection, listing.Parent = store.ShopIntroductions, shop
	}
	size := listing.Limit
	listing.Limit++
	records, err := s.store.List(ctx, listing)
	if err != nil {
		return nil, err
	}
	return s.introductionPage(ctx, records, size, asked)
}

// everyShop stands for all shops that the caller keeps or speaks for.
const everyShop = "shops/-"

// introductionsToAll is a page of those to any shop of the caller's.
func (s *introductionService) introductionsToAll(ctx context.Context, l store.Listing, asked proto.Message) (*pb.ListIntroductionsResponse, error) {
	ties, err := access.TiesOf(ctx, s.store, access.From(ctx).Account)
	if err != nil {
		return nil, err
	}
	size := l.Limit
	l.Collection, l.Limit = store.ShopIntroductions, size+1
	var all []store.Record
	for _, t := range ties {
		l.Parent = t.GetThing()
		records, err := s.store.List(ctx, l)
		if err != nil {
			return nil, err
		}
		all = append(all, records...)
	}
	slices.SortFunc(all, func(a, b store.Record) int { return cmp.Compare(a.Created, b.Created) })
	return s.introductionPage(ctx, all[:min(len(all), size+1)], size, asked)
}

// introductionPage is a page of the introductions that records name: of one more
// than its size, if another follows.
func (s *introductionService) introductionPage(ctx context.Context, records []store.Record, size int, asked proto.Message) (*pb.ListIntroductionsResponse, error) {
	answer := new(pb.ListIntroductionsResponse)
	if len(records) > size {
		records = records[:size]
		answer.NextPageToken = s.nextPage(ctx, asked, records[size-1].Created)
	}
	all, err := introduce.Page(ctx, s.store, records)
	if err != nil {
		return nil, err
	}
	for _, k := range all {
		i, err := s.told(ctx, s.store, k)
		if err != nil {
			return nil, err
		}
		answer.Introductions = append(answer.Introductions, i)
	}
	return answer, nil
}

// told is an introduction as the caller is told it, without the contact.
func (s *introductionService) told(ctx context.Context, from store.Reader, k *pb.KeptIntroduction) (*pb.Introduction, error) {
	i := proto.CloneOf(k.GetIntroduction())
	i.Own = ownIntroduction(ctx, k)
	lot, err := lotOf(ctx, from, i.GetLot())
	if err != nil {
		return nil, err
	}
	i.LotState = lot.GetState()
	all, err := introduce.OfLot(ctx, from, i.GetLot())
	if err != nil {
		return nil, err
	}
	standing := introduce.Stand(k, all, lot.GetState())
	i.Promised, i.PromisedToAnother = standing.Promised, standing.ToAnother
	if introduce.Open(k) {
		i.AskedBefore = int32(standing.Before)
	}
	block, err := introduce.Blocked(ctx, from, introduce.ShopOf(k), k.GetAccount())
	if err != nil {
		return nil, err
	}
	i.Blocked = block != nil
	n, last, err := introduce.Rehomed(ctx, from, k.GetAccount())
	i.Asker.RehomedCount, i.Asker.Rehomed = int32(n), last
	return i, err
}

// lotOf is a lot, whoever may see it.
func lotOf(ctx context.Context, from store.Reader, name string) (*pb.Lot, error) {
	return get(ctx, from, store.Lots, name, record.Lot)
}

// The two sides' private places, as they stood when the answer was yes.
func keeperCopy(k *pb.KeptIntroduction) string {
	return private.NameOf(k.GetIntroduction().GetName() + "/keeper")
}
func askerCopy(k *pb.KeptIntroduction) string {
	return private.NameOf(k.GetIntroduction().GetName() + "/asker")
}

// toldWithContact is the same with the other side's contact, if the answer was yes
// and neither side has blocked the other since.
func (s *introductionService) toldWithContact(ctx context.Context, from store.Reader, k *pb.KeptIntroduction) (*pb.Introduction, error) {
	i, err := s.told(ctx, from, k)
	if err != nil || i.GetBlocked() || i.GetState() != pb.IntroductionState_INTRODUCTION_STATE_ACCEPTED {
		return i, err
	}
	name := askerCopy(k)
	if i.GetOwn() {
		name = keeperCopy(k)
	}
	i.Contact, err = s.config.Keys.Get(ctx, from, name)
	return i, err
}

func (s *introductionService) CreateIntroduction(ctx context.Context, req *pb.CreateIntroductionRequest) (*pb.CreateIntroductionResponse, error) {
	if err := s.peopleThere(); err != nil {
		return nil, err
	}
	asked := req.GetIntroduction()
	if asked == nil {
		return nil, invalid("introduction", "is missing")
	}
	c := new(checker)
	c.required("introduction.note", strings.TrimSpace(asked.GetNote()), 2_000)
	c.required("introduction.purpose", strings.TrimSpace(asked.GetPurpose()), 1_000)
	if err := c.err(); err != nil {
		return nil, err
	}
	return once(ctx, s.store, req, new(pb.CreateIntroductionResponse), func(tx store.Tx) (*pb.CreateIntroductionResponse, error) {
		k, err := s.ask(ctx, tx, asked)
		if err != nil {
			return nil, err
		}
		i, err := s.told(ctx, tx, k)
		return &pb.CreateIntroductionResponse{Introduction: i, Change: i.GetRevision()}, err
	})
}

// mostAsked is how many introductions an account may ask for in a day.
const mostAsked = 10

// ask writes an introduction, if the lot can be asked for by the caller.
func (s *introductionService) ask(ctx context.Context, tx store.Tx, asked *pb.Introduction) (*pb.KeptIntroduction, error) {
	lot, err := lotOf(ctx, tx, asked.GetLot())
	if err != nil {
		return nil, err
	}
	if lot.GetState() == pb.LotState_LOT_STATE_REHOMED {
		return nil, unreachable(lot.GetName(), "it has found its home already, and cannot be asked for")
	}
	if err := s.may(ctx, tx, theLot(lot)); err != nil {
		return nil, err
	}
	if err := mayAskAgain(ctx, tx, lot.GetName()); err != nil {
		return nil, err
	}
	me, err := s.askerOf(ctx, tx)
	if err != nil {
		return nil, err
	}
	account := access.From(ctx).Account
	if err := daily(introduce.Daily(ctx, tx, account, "introductions", mostAsked), "an account asks for ten introductions a day"); err != nil {
		return nil, err
	}
	k := &pb.KeptIntroduction{Account: account, Introduction: &pb.Introduction{
		Lot: lot.GetName(), LotTitle: lot.GetTitle(), Tag: lot.GetTag(), ShopTitle: lot.GetShopTitle(), Asker: me,
		Note: strings.TrimSpace(asked.GetNote()), Purpose: strings.TrimSpace(asked.GetPurpose()),
	}}
	err = introduce.New(ctx, tx, k)
	if errors.Is(err, introduce.ErrTooMany) {
		err = problem(codes.ResourceExhausted, ReasonTooMuch, "%s was asked for by %d people: that is all it can be", lot.GetName(), introduce.MostOfALot)
	}
	return k, err
}

// daily turns the word that an account has done enough for a day into a problem.
func daily(err error, limit string) error {
	if enough := new(introduce.DailyError); errors.As(err, &enough) {
		return tooMany(ReasonTooMuch, limit, enough.After)
	}
	return err
}

// mayAskAgain refuses who has asked for the lot before, or is kept apart from its
// shop.
func mayAskAgain(ctx context.Context, tx store.Tx, lot string) error {
	account := access.From(ctx).Account
	shop, _, _ := strings.Cut(lot, "/lots/")
	block, err := introduce.Blocked(ctx, tx, shop, account)
	if err != nil {
		return err
	}
	if block != nil {
		return problem(codes.FailedPrecondition, ReasonNotTaking, "there are no introductions between your account and this shop")
	}
	before, err := introduce.Asked(ctx, tx, lot, account)
	switch {
	case err != nil || before == nil:
		return err
	case before.GetIntroduction().GetState() == pb.IntroductionState_INTRODUCTION_STATE_DECLINED:
		return problem(codes.FailedPrecondition, ReasonAnsweredNo, "the keeper has answered already: this lot will go another way. There are others")
	}
	return exists(called[store.Introductions], before.GetIntroduction().GetName(), "your question for this lot")
}

// askerOf is what a keeper is told of the caller, who has to be one that can be
// reached.
func (s *introductionService) askerOf(ctx context.Context, from store.Reader) (*pb.Asker, error) {
	account, err := access.AccountNamed(ctx, from, access.From(ctx).Account)
	if err != nil {
		return nil, err
	}
	p, err := s.config.Keys.Get(ctx, from, private.NameOf(account.GetName()))
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return nil, err
	}
	if p.GetTown() == nil || p.GetPhone() == "" && p.GetEmail() == "" {
		return nil, contactNeeded("before you ask, say in which town you are, and a telephone number or an e-mail address: heirpress contact --set FILE. They are kept sealed; the keeper is told the town, and the rest only with a yes")
	}
	return &pb.Asker{DisplayName: account.GetDisplayName(), Town: p.GetTown()}, nil
}

func contactNeeded(message string) error {
	return problem(codes.FailedPrecondition, ReasonContact, "%s", message)
}
