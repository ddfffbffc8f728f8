package server_test

import (
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/fieldmaskpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

func (r *trusted) proofs() pb.ProofServiceClient { return pb.NewProofServiceClient(r.conn) }

func (r *trusted) proof(t *testing.T, who person, shop *pb.Shop) *pb.Proof {
	t.Helper()
	return well(t, r.proofs().GetProof, who, &pb.GetProofRequest{Shop: shop.GetName()}).GetProof()
}

// drafted is a shop of a keeper with two drafts of a go-between's in it.
func (r *trusted) drafted(t *testing.T) (keeper, goBetween person, shop *pb.Shop, lots []*pb.Lot) {
	t.Helper()
	keeper, goBetween = r.person(t, "Odile"), r.person(t, "Ines")
	shop = r.shopOf(t, keeper, "Marrowby", "Dayton, OH")
	r.goBetween(t, keeper, shop, goBetween)
	return keeper, goBetween, shop, []*pb.Lot{r.lotOf(t, goBetween, shop, platen("P1")), r.lotOf(t, goBetween, shop, platen("P2"))}
}

func tagsOf(lots []*pb.Lot) string {
	var all []string
	for _, l := range lots {
		all = append(all, l.GetTag())
	}
	return strings.Join(all, " ")
}

// everybody is what a caller without a token is shown of a registry.
func (r *trusted) everybody(t *testing.T) string {
	t.Helper()
	var all []string
	for _, h := range well(t, r.search.SearchLots, nobody, &pb.SearchLotsRequest{Filter: &pb.LotFilter{States: everyState()}, AtLeastChange: 1}).GetHits() {
		all = append(all, h.GetLot().GetTag())
	}
	for _, s := range well(t, r.shops.ListShops, nobody, &pb.ListShopsRequest{}).GetShops() {
		all = append(all, s.GetTitle())
	}
	return strings.Join(all, " ")
}

// What a go-between lists is a draft and shown to nobody, until the keeper has passed
// what was read.
func TestNothingIsPublicBeforeItsProof(t *testing.T) {
	r := openTrusted(t)
	keeper, goBetween, shop, lots := r.drafted(t)
	if lots[0].GetState() != pb.LotState_LOT_STATE_DRAFT || r.everybody(t) != "" {
		t.Errorf("the lot is %v; everybody sees %q", lots[0].GetState(), r.everybody(t))
	}
	offered := platen("P9")
	offered.State = pb.LotState_LOT_STATE_OFFERED
	refused(t, refusal(t, r.lots.CreateLot, goBetween, &pb.CreateLotRequest{Parent: shop.GetName(), Lot: offered}), codes.FailedPrecondition, server.ReasonProof)
	read := r.proof(t, keeper, shop)
	if tagsOf(read.GetLots()) != "P1 P2" || read.GetShop().GetTitle() != "Marrowby" {
		t.Errorf("the proof is %v", read)
	}
	pass := &pb.PassProofRequest{Shop: shop.GetName(), Etag: read.GetEtag()}
	refused(t, refusal(t, r.proofs().PassProof, goBetween, pass), codes.PermissionDenied, server.ReasonDenied)
	refused(t, refusal(t, r.proofs().PassProof, keeper, &pb.PassProofRequest{Shop: shop.GetName()}), codes.InvalidArgument, server.ReasonInvalid)
	well(t, r.lots.UpdateLot, goBetween, &pb.UpdateLotRequest{Lot: &pb.Lot{Name: lots[1].GetName(), Title: "something else"}, UpdateMask: mask("title")})
	refused(t, refusal(t, r.proofs().PassProof, keeper, pass), codes.Aborted, server.ReasonStale)
	pass.Etag = r.proof(t, keeper, shop).GetEtag()
	pass.Lots = []string{"shops/other/lots/p1"}
	if fields := refused(t, refusal(t, r.proofs().PassProof, keeper, pass), codes.InvalidArgument, server.ReasonInvalid); fields["lots"] == "" {
		t.Errorf("got %v", fields)
	}
	pass.Lots = []string{lots[0].GetName()}
	passed := well(t, r.proofs().PassProof, keeper, pass)
	if got := passed.GetLots(); len(got) != 1 || got[0].GetState() != pb.LotState_LOT_STATE_OFFERED || len(got[0].GetHistory()) != 3 {
		t.Errorf("passed %v", got)
	}
	r.find(t, &pb.LotFilter{}, passed.GetChange())
	if got := r.everybody(t); got != "P1 Marrowby" {
		t.Errorf("everybody sees %q", got)
	}
	hold := &pb.PassProofRequest{Shop: shop.GetName(), Etag: r.proof(t, keeper, shop).GetEtag(), Hold: true}
	if got := well(t, r.proofs().PassProof, keeper, hold).GetLots(); len(got) != 1 || got[0].GetState() != pb.LotState_LOT_STATE_PROOFED {
		t.Errorf("held %v", got)
	}
	hold.Etag = r.proof(t, keeper, shop).GetEtag()
	refused(t, refusal(t, r.proofs().PassProof, keeper, hold), codes.FailedPrecondition, server.ReasonState)
}

// A go-between cannot change what was passed, nor pass or offer it by another way.
func TestAGoBetweenCannotGoRoundTheProof(t *testing.T) {
	r := openTrusted(t)
	keeper, goBetween, shop, lots := r.drafted(t)
	change := func(l *pb.Lot, paths ...string) *pb.UpdateLotRequest {
		l.Name = lots[0].GetName()
		return &pb.UpdateLotRequest{Lot: l, UpdateMask: &fieldmaskpb.FieldMask{Paths: paths}}
	}
	to := func(s pb.LotState) *pb.UpdateLotRequest { return change(&pb.Lot{State: s}, "state") }
	never := func(when string, req *pb.UpdateLotRequest) {
		t.Helper()
		err := refusal(t, r.lots.UpdateLot, goBetween, req)
		refused(t, err, codes.FailedPrecondition, server.ReasonProof)
	}
	never("a draft", to(pb.LotState_LOT_STATE_PROOFED))
	story := &pb.UpdateShopRequest{Shop: &pb.Shop{Name: shop.GetName(), Story: "a story"}, UpdateMask: mask("story")}
	well(t, r.shops.UpdateShop, goBetween, story)
	well(t, r.proofs().PassProof, keeper, &pb.PassProofRequest{Shop: shop.GetName(), Etag: r.proof(t, keeper, shop).GetEtag(), Lots: []string{lots[0].GetName()}, Hold: true})
	never("proofed", change(&pb.Lot{Title: "worse"}, "title"))
	well(t, r.lots.UpdateLot, goBetween, to(pb.LotState_LOT_STATE_OFFERED))
	never("offered", change(&pb.Lot{Title: "worse"}, "title"))
	never("offered", change(&pb.Lot{Price: &pb.Money{CurrencyCode: "USD", Units: 1}}, "price"))
	never("offered and promised at once", change(&pb.Lot{Title: "worse", State: pb.LotState_LOT_STATE_PROMISED}, "title", "state"))
	story.Shop.Story = "another story"
	refused(t, refusal(t, r.shops.UpdateShop, goBetween, story), codes.FailedPrecondition, server.ReasonProof)
	well(t, r.lots.UpdateLot, goBetween, to(pb.LotState_LOT_STATE_PROMISED))
	well(t, r.lots.UpdateLot, goBetween, to(pb.LotState_LOT_STATE_OFFERED))
	never("withdrawn and changed at once", change(&pb.Lot{Title: "worse", State: pb.LotState_LOT_STATE_WITHDRAWN}, "title", "state"))
	well(t, r.lots.UpdateLot, goBetween, to(pb.LotState_LOT_STATE_WITHDRAWN))
	well(t, r.lots.UpdateLot, goBetween, change(&pb.Lot{Title: "better"}, "title"))
	never("withdrawn", to(pb.LotState_LOT_STATE_OFFERED))
	well(t, r.lots.UpdateLot, goBetween, to(pb.LotState_LOT_STATE_DRAFT))
	well(t, r.lots.UpdateLot, keeper, to(pb.LotState_LOT_STATE_PROOFED))
	well(t, r.lots.UpdateLot, goBetween, change(&pb.Lot{Title: "best", State: pb.LotState_LOT_STATE_DRAFT}, "title", "state"))
}

// Corrections are written down, and put away when what they are about is passed.
func TestCorrections(t *testing.T) {
	r := openTrusted(t)
	keeper, goBetween, shop, lots := r.drafted(t)
	correct := func(lot, note string) *pb.CorrectProofRequest {
		return &pb.CorrectProofRequest{Shop: shop.GetName(), Corrections: []*pb.Correction{{Lot: lot, Note: note}}}
	}
	well(t, r.proofs().CorrectProof, keeper, correct(lots[0].GetName(), "it was Father's"))
	well(t, r.proofs().CorrectProof, keeper, correct("", "the name is Marrowby & Daughter"))
	well(t, r.proofs().CorrectProof, keeper, correct(lots[1].GetName(), "weigh it again"))
	got := r.proof(t, goBetween, shop).GetCorrections()
	if len(got) != 3 || got[0].GetNote() != "it was Father's" || got[0].GetAuthor() != keeper.name || got[0].GetCreateTime() == nil {
		t.Errorf("corrections %v", got)
	}
	for field, req := range map[string]*pb.CorrectProofRequest{
		"corrections":         {Shop: shop.GetName()},
		"corrections[0].note": correct(lots[0].GetName(), "  "),
		"corrections[0].lot":  correct("shops/other/lots/x", "what"),
	} {
		if fields := refused(t, refusal(t, r.proofs().CorrectProof, keeper, req), codes.InvalidArgument, server.ReasonInvalid); fields[field] == "" {
			t.Errorf("%s: %v", field, fields)
		}
	}
	refused(t, refusal(t, r.proofs().CorrectProof, goBetween, correct("", "mine")), codes.PermissionDenied, server.ReasonDenied)
	well(t, r.proofs().PassProof, keeper, &pb.PassProofRequest{Shop: shop.GetName(), Etag: r.proof(t, keeper, shop).GetEtag(), Lots: []string{lots[0].GetName()}})
	if got := r.proof(t, goBetween, shop).GetCorrections(); len(got) != 1 || got[0].GetLot() != lots[1].GetName() {
		t.Errorf("left %v", got)
	}
}

// A keeper without an account passes by a code: once, within its time, and nobody
// else with another; and the history says so.
func TestAKeeperWithoutAnAccountPassesByACode(t *testing.T) {
	r := openTrusted(t)
	goBetween, stranger := r.person(t, "Ines"), r.person(t, "Sam")
	shop := well(t, r.shops.CreateShop, goBetween, &pb.CreateShopRequest{
		Shop: &pb.Shop{Title: "Marrowby", Place: "Dayton, OH"}, OnBehalf: "Mrs. Marrowby asked me to on the telephone",
	}).GetShop()
	if given := well(t, r.accounts.ListDelegations, goBetween, &pb.ListDelegationsRequest{Shop: shop.GetName()}).GetDelegations(); len(given) != 1 || !strings.Contains(given[0].GetNote(), "on the telephone") {
		t.Errorf("recorded %v", given)
	}
	lot := r.lotOf(t, goBetween, shop, platen("P1"))
	refused(t, refusal(t, r.proofs().PassProof, goBetween, &pb.PassProofRequest{Shop: shop.GetName(), Etag: r.proof(t, goBetween, shop).GetEtag()}), codes.PermissionDenied, server.ReasonDenied)
	refused(t, refusal(t, r.proofs().CreateProofCode, stranger, &pb.CreateProofCodeRequest{Shop: shop.GetName()}), codes.NotFound, server.ReasonNotFound)
	make := func() string {
		return well(t, r.proofs().CreateProofCode, goBetween, &pb.CreateProofCodeRequest{Shop: shop.GetName()}).GetCode()
	}
	first, second := make(), make()
	proof := well(t, r.proofs().GetProof, nobody, &pb.GetProofRequest{Code: first}).GetProof()
	if tagsOf(proof.GetLots()) != "P1" {
		t.Errorf("by the code, %v", proof)
	}
	well(t, r.proofs().CorrectProof, nobody, &pb.CorrectProofRequest{Code: first, Corrections: []*pb.Correction{{Lot: lot.GetName(), Note: "it prints well"}}})
	for _, bad := range []string{first, second[:len(second)-4] + "AAAA", "nonsense"} {
		if fields := refused(t, refusal(t, r.proofs().GetProof, nobody, &pb.GetProofRequest{Code: bad}), codes.InvalidArgument, server.ReasonInvalid); fields["code"] == "" || strings.Contains(fields["code"], bad) {
			t.Errorf("got %v", fields)
		}
	}
	passed := well(t, r.proofs().PassProof, nobody, &pb.PassProofRequest{Code: second, Etag: proof.GetEtag()})
	if got := passed.GetLots(); len(got) != 1 || got[0].GetState() != pb.LotState_LOT_STATE_OFFERED {
		t.Errorf("passed %v", got)
	}
	refused(t, refusal(t, r.proofs().PassProof, nobody, &pb.PassProofRequest{Code: second, Etag: proof.GetEtag()}), codes.InvalidArgument, server.ReasonInvalid)
	changes := well(t, pb.NewHistoryServiceClient(r.conn).ListHistory, goBetween, &pb.ListHistoryRequest{Name: lot.GetName()}).GetChanges()
	if len(changes) != 3 || !strings.HasPrefix(changes[0].GetAuthor(), "proofCodes/") || changes[0].GetAuthorName() != "Ines" || changes[2].GetAuthor() != goBetween.name {
		t.Errorf("the history is %v", changes)
	}
}

// Who tries codes is held back; a keeper with an account needs none.
func TestCodesAreNotGuessedOrMisused(t *testing.T) {
	r := openTrusted(t)
	keeper, goBetween, shop, _ := r.drafted(t)
	refused(t, refusal(t, r.proofs().CreateProofCode, goBetween, &pb.CreateProofCodeRequest{Shop: shop.GetName()}), codes.PermissionDenied, server.ReasonDenied)
	soon := &pb.CreateProofCodeRequest{Shop: shop.GetName(), ExpireTime: timestamppb.New(time.Now().Add(300 * time.Millisecond))}
	code := well(t, r.proofs().CreateProofCode, keeper, soon).GetCode()
	far := &pb.CreateProofCodeRequest{Shop: shop.GetName(), ExpireTime: timestamppb.New(time.Now().Add(100 * 24 * time.Hour))}
	refused(t, refusal(t, r.proofs().CreateProofCode, keeper, far), codes.InvalidArgument, server.ReasonInvalid)
	time.Sleep(time.Until(soon.GetExpireTime().AsTime()) + time.Millisecond)
	refused(t, refusal(t, r.proofs().GetProof, nobody, &pb.GetProofRequest{Code: code}), codes.InvalidArgument, server.ReasonInvalid)
	var err error
	for range 12 {
		err = refusal(t, r.proofs().GetProof, nobody, &pb.GetProofRequest{Code: "nonsense"})
	}
	refused(t, err, codes.ResourceExhausted, server.ReasonTooManyGuesses)
	if comeBack(err) <= 0 {
		t.Error("nobody is told when to come back")
	}
}

// In a registry without accounts its owner reads and passes proofs.
func TestProofsOfOnesOwnRegistry(t *testing.T) {
	r := open(t)
	shop := r.shop(t, "Marrowby", "Dayton, OH")
	draft := platen("P1")
	draft.State = pb.LotState_LOT_STATE_DRAFT
	r.lot(t, shop, draft)
	proofs := pb.NewProofServiceClient(r.conn)
	read, err := proofs.GetProof(t.Context(), &pb.GetProofRequest{Shop: shop.GetName()})
	if err != nil {
		t.Fatal(err)
	}
	passed, err := proofs.PassProof(t.Context(), &pb.PassProofRequest{Shop: shop.GetName(), Etag: read.GetProof().GetEtag()})
	if err != nil || len(passed.GetLots()) != 1 {
		t.Errorf("passed %v, %v", passed, err)
	}
	_, err = proofs.CreateProofCode(t.Context(), &pb.CreateProofCodeRequest{Shop: shop.GetName()})
	refused(t, err, codes.FailedPrecondition, server.ReasonAccountsOff)
	_, err = r.shops.CreateShop(t.Context(), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "B", Place: "Dayton, OH"}, OnBehalf: "she asked"})
	refused(t, err, codes.FailedPrecondition, server.ReasonAccountsOff)
}
