package server_test

import (
	"context"
	"path/filepath"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/private"
)

func init() {
	for name, p := range trustProbes {
		probes[name] = p
	}
}

// trustProbes are the probes of private places and introductions.
var trustProbes = map[string]probe{
	"PrivatePlaceService/GetPrivatePlace shop":       getPrivate(func(s *scene) string { return s.shop.GetName() }),
	"PrivatePlaceService/GetPrivatePlace account":    getPrivate(func(s *scene) string { return s.target.account }),
	"PrivatePlaceService/SetPrivatePlace shop":       setPrivate(func(s *scene) string { return s.shop.GetName() }),
	"PrivatePlaceService/SetPrivatePlace account":    setPrivate(func(s *scene) string { return s.target.account }),
	"PrivatePlaceService/DeletePrivatePlace shop":    deletePrivate(func(s *scene) string { return s.shop.GetName() }),
	"PrivatePlaceService/DeletePrivatePlace account": deletePrivate(func(s *scene) string { return s.target.account }),

	"ProofService/GetProof shop": call(func(s *scene, ctx context.Context) (*pb.GetProofResponse, error) {
		return s.proofs().GetProof(ctx, &pb.GetProofRequest{Shop: s.shop.GetName()})
	}),
	"ProofService/GetProof proof-code": call(func(s *scene, ctx context.Context) (*pb.GetProofResponse, error) {
		return s.proofs().GetProof(ctx, &pb.GetProofRequest{Code: s.code})
	}),
	"ProofService/PassProof shop": call(func(s *scene, ctx context.Context) (*pb.PassProofResponse, error) {
		return s.proofs().PassProof(ctx, &pb.PassProofRequest{Shop: s.shop.GetName(), Etag: s.draftAndEtag(ctx)})
	}),
	"ProofService/PassProof proof-code": call(func(s *scene, ctx context.Context) (*pb.PassProofResponse, error) {
		return s.proofs().PassProof(ctx, &pb.PassProofRequest{Code: s.code, Etag: s.etag(ctx)})
	}),
	"ProofService/CorrectProof shop": call(func(s *scene, ctx context.Context) (*pb.CorrectProofResponse, error) {
		return s.proofs().CorrectProof(ctx, &pb.CorrectProofRequest{Shop: s.shop.GetName(), Corrections: []*pb.Correction{{Note: "not so"}}})
	}),
	"ProofService/CorrectProof proof-code": call(func(s *scene, ctx context.Context) (*pb.CorrectProofResponse, error) {
		return s.proofs().CorrectProof(ctx, &pb.CorrectProofRequest{Code: s.code, Corrections: []*pb.Correction{{Note: "not so"}}})
	}),
	"ProofService/CreateProofCode shop":            call(createProofCode),
	"ProofService/CreateProofCode keeperless-shop": call(createProofCode),

	"HistoryService/ListHistory shop": history(func(s *scene) string { return s.shop.GetName() }),
	"HistoryService/ListHistory lot":  history(func(s *scene) string { return s.lot.GetName() }),

	"IntroductionService/CreateIntroduction lot": call(func(s *scene, ctx context.Context) (*pb.CreateIntroductionResponse, error) {
		return s.introductions().CreateIntroduction(ctx, &pb.CreateIntroductionRequest{Introduction: asking(s.lot)})
	}),
	"IntroductionService/GetIntroduction introduction":        call(getIntroduction),
	"IntroductionService/GetIntroduction own-introduction":    call(getIntroduction),
	"IntroductionService/AnswerIntroduction introduction":     call(answerLater),
	"IntroductionService/AnswerIntroduction own-introduction": call(answerLater),
	"IntroductionService/BlockIntroduction introduction":      call(blockIntroduction),
	"IntroductionService/BlockIntroduction own-introduction":  call(blockIntroduction),
	"IntroductionService/ReportIntroduction introduction":     call(reportIntroduction),
	"IntroductionService/ReportIntroduction own-introduction": call(reportIntroduction),
	"IntroductionService/ListIntroductions shop": call(func(s *scene, ctx context.Context) (*pb.ListIntroductionsResponse, error) {
		return s.introductions().ListIntroductions(ctx, &pb.ListIntroductionsRequest{Shop: s.shop.GetName()})
	}),
	"IntroductionService/ListIntroductions introduction":     listIntroductions("shops/-"),
	"IntroductionService/ListIntroductions own-introduction": listIntroductions(""),
	"IntroductionService/ListReports any": call(func(s *scene, ctx context.Context) (*pb.ListReportsResponse, error) {
		return s.introductions().ListReports(ctx, &pb.ListReportsRequest{})
	}),
	"IntroductionService/CloseReport any": call(func(s *scene, ctx context.Context) (*pb.CloseReportResponse, error) {
		return s.introductions().CloseReport(ctx, &pb.CloseReportRequest{Name: s.reported})
	}),
}

func (w *world) private() pb.PrivatePlaceServiceClient {
	return pb.NewPrivatePlaceServiceClient(w.conn)
}
func (w *world) introductions() pb.IntroductionServiceClient {
	return pb.NewIntroductionServiceClient(w.conn)
}

func history(of func(*scene) string) probe {
	return call(func(s *scene, ctx context.Context) (*pb.ListHistoryResponse, error) {
		return pb.NewHistoryServiceClient(s.conn).ListHistory(ctx, &pb.ListHistoryRequest{Name: of(s)})
	})
}

func getPrivate(of func(*scene) string) probe {
	return call(func(s *scene, ctx context.Context) (*pb.GetPrivatePlaceResponse, error) {
		return s.private().GetPrivatePlace(ctx, &pb.GetPrivatePlaceRequest{Name: of(s) + "/privatePlace"})
	})
}

func setPrivate(of func(*scene) string) probe {
	return call(func(s *scene, ctx context.Context) (*pb.SetPrivatePlaceResponse, error) {
		return s.private().SetPrivatePlace(ctx, &pb.SetPrivatePlaceRequest{PrivatePlace: cottage(of(s) + "/privatePlace")})
	})
}

func deletePrivate(of func(*scene) string) probe {
	return call(func(s *scene, ctx context.Context) (*pb.DeletePrivatePlaceResponse, error) {
		return s.private().DeletePrivatePlace(ctx, &pb.DeletePrivatePlaceRequest{Name: of(s) + "/privatePlace"})
	})
}

func listIntroductions(shop string) probe {
	return func(s *scene, ctx context.Context) (bool, error) {
		return through(s.asked, func(token string) (*pb.ListIntroductionsResponse, error) {
			return s.introductions().ListIntroductions(ctx, &pb.ListIntroductionsRequest{Shop: shop, PageSize: 3, PageToken: token})
		}, func(a *pb.ListIntroductionsResponse) []string { return namesOf(a.GetIntroductions()) })
	}
}

func getIntroduction(s *scene, ctx context.Context) (*pb.GetIntroductionResponse, error) {
	return s.introductions().GetIntroduction(ctx, &pb.GetIntroductionRequest{Name: s.asked})
}

func answerLater(s *scene, ctx context.Context) (*pb.AnswerIntroductionResponse, error) {
	return s.introductions().AnswerIntroduction(ctx, &pb.AnswerIntroductionRequest{Name: s.asked, Answer: pb.IntroductionAnswer_INTRODUCTION_ANSWER_LATER})
}

func blockIntroduction(s *scene, ctx context.Context) (*pb.BlockIntroductionResponse, error) {
	return s.introductions().BlockIntroduction(ctx, &pb.BlockIntroductionRequest{Name: s.asked})
}

func reportIntroduction(s *scene, ctx context.Context) (*pb.ReportIntroductionResponse, error) {
	return s.introductions().ReportIntroduction(ctx, &pb.ReportIntroductionRequest{Name: s.asked, Reason: "it is rude"})
}

// asking is a question for a lot.
func asking(lot *pb.Lot) *pb.Introduction {
	return &pb.Introduction{Lot: lot.GetName(), Note: "I would give it a good home.", Purpose: "broadsides, and teaching on Saturdays"}
}

// newKeys makes a file of keys.
func newKeys(t *testing.T) private.Keys {
	t.Helper()
	k := private.Keys{File: filepath.Join(t.TempDir(), "keys")}
	if _, err := k.NewKey(); err != nil {
		t.Fatal(err)
	}
	return k
}

// contact gives the scene's shop a private place, and who may ask for its lot.
func (w *world) contact(t *testing.T, s *scene) {
	t.Helper()
	p := cottage(private.NameOf(s.shop.GetName()))
	if _, err := w.private().SetPrivatePlace(s.who[access.Keeper].as(t), &pb.SetPrivatePlaceRequest{PrivatePlace: p}); err != nil {
		t.Fatal(err)
	}
	w.setContact(t, s.who[access.Stranger])
	w.setContact(t, s.who[access.Operator])
}

func (w *world) setContact(t *testing.T, one somebody) {
	t.Helper()
	p := cottage("accounts/me/privatePlace")
	p.Place = "Toledo, OH"
	if _, err := w.private().SetPrivatePlace(one.as(t), &pb.SetPrivatePlaceRequest{PrivatePlace: p}); err != nil {
		t.Fatal(err)
	}
}

// ask has somebody ask for a lot: a stranger to the crowd, or, if it is to be an
// introduction of the owner's own, the owner, of a shop of somebody else.
func (w *world) ask(t *testing.T, s *scene, kind access.Kind) (asker somebody) {
	t.Helper()
	keeper := s.who[access.Keeper]
	asker = w.invite(t)
	if kind == access.AnOwnIntroduction {
		keeper, asker = asker, w.invite(t)
		s.who = map[access.Relation]somebody{
			access.Pending: s.who[access.Pending], access.Stranger: s.who[access.Stranger], access.Operator: s.who[access.Operator],
			access.Keeper: asker,
		}
	}
	s.shop = w.shopOf(t, keeper)
	if kind == access.AnIntroduction {
		w.delegate(t, keeper, s.who[access.GoBetween], s.shop.GetName())
	}
	s.lot, _ = w.lotIn(t, keeper, s.shop.GetName(), pb.LotState_LOT_STATE_OFFERED)
	w.setContact(t, asker)
	made, err := w.introductions().CreateIntroduction(asker.as(t), &pb.CreateIntroductionRequest{Introduction: asking(s.lot)})
	if err != nil {
		t.Fatal(err)
	}
	s.asked = made.GetIntroduction().GetName()
	return asker
}

// report has somebody report the scene's introduction.
func (s *scene) report(t *testing.T, by somebody) {
	t.Helper()
	if _, err := reportIntroduction(s, by.as(t)); err != nil {
		t.Fatal(err)
	}
	got, err := s.introductions().ListReports(s.operator.as(t), &pb.ListReportsRequest{PageSize: 1000})
	if err != nil {
		t.Fatal(err)
	}
	s.reported = got.GetReports()[len(got.GetReports())-1].GetName()
}

func (w *world) proofs() pb.ProofServiceClient { return pb.NewProofServiceClient(w.conn) }

func createProofCode(s *scene, ctx context.Context) (*pb.CreateProofCodeResponse, error) {
	return s.proofs().CreateProofCode(ctx, &pb.CreateProofCodeRequest{Shop: s.shop.GetName()})
}

// etag is that of the proof of the scene's shop, as the operator reads it.
func (s *scene) etag(ctx context.Context) string {
	got, err := s.proofs().GetProof(s.operator.in(context.WithoutCancel(ctx)), &pb.GetProofRequest{Shop: s.shop.GetName()})
	if err != nil {
		return err.Error()
	}
	return got.GetProof().GetEtag()
}

// draftAndEtag puts a draft into the scene's shop, so that there is something to
// pass, and is the etag of the proof.
func (s *scene) draftAndEtag(ctx context.Context) string {
	draft := platen("a draft")
	draft.State = pb.LotState_LOT_STATE_DRAFT
	if _, err := s.lots.CreateLot(s.who[access.Keeper].in(context.WithoutCancel(ctx)), &pb.CreateLotRequest{Parent: s.shop.GetName(), Lot: draft}); err != nil {
		return err.Error()
	}
	return s.etag(ctx)
}

// keeperless makes a shop whose keeper has no account, with a draft, and a code for
// its proof.
func (w *world) keeperless(t *testing.T, s *scene) {
	t.Helper()
	goBetween := s.who[access.GoBetween]
	made, err := w.shops.CreateShop(goBetween.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: w.name("Shop"), Place: "Dayton, OH"}, OnBehalf: "she asked"})
	if err != nil {
		t.Fatal(err)
	}
	s.shop = made.GetShop()
	if _, err := w.lots.CreateLot(goBetween.as(t), &pb.CreateLotRequest{Parent: s.shop.GetName(), Lot: platen("P1")}); err != nil {
		t.Fatal(err)
	}
	code, err := createProofCode(s, goBetween.as(t))
	if err != nil {
		t.Fatal(err)
	}
	s.code = code.GetCode()
}
