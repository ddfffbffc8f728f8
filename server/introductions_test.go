package server_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/private"
)

const (
	yes   = pb.IntroductionAnswer_INTRODUCTION_ANSWER_YES
	no    = pb.IntroductionAnswer_INTRODUCTION_ANSWER_NO
	later = pb.IntroductionAnswer_INTRODUCTION_ANSWER_LATER
)

// seeker opens the account of somebody who can be reached.
func (r *trusted) seeker(t *testing.T, name string) person {
	t.Helper()
	p := r.person(t, name)
	well(t, r.private.SetPrivatePlace, p, &pb.SetPrivatePlaceRequest{PrivatePlace: &pb.PrivatePlace{
		Name: "accounts/me/privatePlace", Person: name, Email: strings.ToLower(name) + "@example.org", Address: "7 Sorrel Street", Place: "Toledo, OH",
	}})
	return p
}

// listed is a shop with a private place and one lot, of a keeper.
func (r *trusted) listed(t *testing.T) (keeper person, shop *pb.Shop, lot *pb.Lot) {
	t.Helper()
	keeper = r.person(t, "Odile")
	shop = r.shopOf(t, keeper, "Marrowby", "Dayton, OH")
	well(t, r.private.SetPrivatePlace, keeper, &pb.SetPrivatePlaceRequest{PrivatePlace: cottage(private.NameOf(shop.GetName()))})
	return keeper, shop, r.lotOf(t, keeper, shop, platen("P1"))
}

func (r *trusted) asks(t *testing.T, who person, lot *pb.Lot) *pb.Introduction {
	t.Helper()
	return well(t, r.introductions.CreateIntroduction, who, &pb.CreateIntroductionRequest{Introduction: asking(lot)}).GetIntroduction()
}

func (r *trusted) reads(t *testing.T, who person, name string) *pb.Introduction {
	t.Helper()
	return well(t, r.introductions.GetIntroduction, who, &pb.GetIntroductionRequest{Name: name}).GetIntroduction()
}

func (r *trusted) answers(t *testing.T, who person, name string, a pb.IntroductionAnswer, promise bool) *pb.Introduction {
	t.Helper()
	return well(t, r.introductions.AnswerIntroduction, who, &pb.AnswerIntroductionRequest{Name: name, Answer: a, Promise: promise}).GetIntroduction()
}

func (r *trusted) moves(t *testing.T, who person, lot *pb.Lot, to pb.LotState) {
	t.Helper()
	well(t, r.lots.UpdateLot, who, &pb.UpdateLotRequest{Lot: &pb.Lot{Name: lot.GetName(), State: to}, UpdateMask: mask("state")})
}

// Asked, answered yes: only then, and only to the two sides, and as they stood at
// that time, are contacts shown.
func TestAYesExchangesContactsOnce(t *testing.T) {
	r := openTrusted(t)
	keeper, shop, lot := r.listed(t)
	sam, other := r.seeker(t, "Sam"), r.seeker(t, "Toni")
	asked := r.asks(t, sam, lot)
	if asked.GetAsker().GetTown().GetLabel() != "Toledo, OH" || asked.GetAsker().GetDisplayName() != "Sam" || !asked.GetOwn() || asked.GetContact() != nil {
		t.Errorf("asked %v", asked)
	}
	seen := r.reads(t, keeper, asked.GetName())
	if seen.GetOwn() || seen.GetContact() != nil || strings.Contains(seen.String(), "Sorrel") || strings.Contains(seen.String(), "sam@") || strings.Contains(seen.String(), sam.name) {
		t.Errorf("the keeper sees %v before any answer", seen)
	}
	yesed := r.answers(t, keeper, asked.GetName(), yes, false)
	if yesed.GetContact().GetAddress() != "7 Sorrel Street" || yesed.GetContact().GetEmail() != "sam@example.org" {
		t.Errorf("the keeper was given %v", yesed)
	}
	moved := cottage(private.NameOf(shop.GetName()))
	moved.Address = "99 Elsewhere"
	well(t, r.private.SetPrivatePlace, keeper, &pb.SetPrivatePlaceRequest{PrivatePlace: moved})
	if got := r.reads(t, sam, asked.GetName()); got.GetContact().GetAddress() != "41 Quince Lane\nback door" || got.GetContact().GetPhone() != "+1 555 0134" || got.GetState() != pb.IntroductionState_INTRODUCTION_STATE_ACCEPTED {
		t.Errorf("who asked was given %v", got)
	}
	for _, p := range []person{other, r.operator} {
		refused(t, refusal(t, r.introductions.GetIntroduction, p, &pb.GetIntroductionRequest{Name: asked.GetName()}), codes.NotFound, server.ReasonNotFound)
		refused(t, refusal(t, r.private.GetPrivatePlace, p, &pb.GetPrivatePlaceRequest{Name: asked.GetName() + "/asker/privatePlace"}), codes.InvalidArgument, server.ReasonInvalid)
	}
	for _, p := range []person{sam, keeper} {
		req := &pb.ListIntroductionsRequest{IncludeAnswered: true}
		if p == keeper {
			req.Shop = shop.GetName()
		}
		got := well(t, r.introductions.ListIntroductions, p, req).GetIntroductions()
		if len(got) != 1 || got[0].GetContact() != nil {
			t.Errorf("listed %v", got)
		}
	}
	again := r.answers(t, keeper, asked.GetName(), yes, false)
	if again.GetRevision() != yesed.GetRevision() {
		t.Errorf("a repeated yes wrote change %d after %d", again.GetRevision(), yesed.GetRevision())
	}
	refused(t, refusal(t, r.introductions.AnswerIntroduction, keeper, &pb.AnswerIntroductionRequest{Name: asked.GetName(), Answer: no}), codes.FailedPrecondition, server.ReasonState)
}

// A no is final for the lot; later is not.
func TestNoIsFinalAndLaterIsNot(t *testing.T) {
	r := openTrusted(t)
	keeper, _, lot := r.listed(t)
	sam := r.seeker(t, "Sam")
	asked := r.asks(t, sam, lot)
	r.answers(t, keeper, asked.GetName(), later, false)
	if got := well(t, r.introductions.ListIntroductions, sam, &pb.ListIntroductionsRequest{}).GetIntroductions(); len(got) != 1 || got[0].GetState() != pb.IntroductionState_INTRODUCTION_STATE_LATER {
		t.Errorf("after later, listed %v", got)
	}
	err := refusal(t, r.introductions.CreateIntroduction, sam, &pb.CreateIntroductionRequest{Introduction: asking(lot)})
	refused(t, err, codes.AlreadyExists, server.ReasonExists)
	well(t, r.introductions.AnswerIntroduction, keeper, &pb.AnswerIntroductionRequest{Name: asked.GetName(), Answer: no, Note: "It goes to a school. Good luck."})
	if got := r.reads(t, sam, asked.GetName()); got.GetAnswerNote() != "It goes to a school. Good luck." || got.GetState() != pb.IntroductionState_INTRODUCTION_STATE_DECLINED {
		t.Errorf("after no, %v", got)
	}
	if got := well(t, r.introductions.ListIntroductions, sam, &pb.ListIntroductionsRequest{}).GetIntroductions(); len(got) != 0 {
		t.Errorf("what is answered is listed as open: %v", got)
	}
	for _, a := range []pb.IntroductionAnswer{yes, later} {
		refused(t, refusal(t, r.introductions.AnswerIntroduction, keeper, &pb.AnswerIntroductionRequest{Name: asked.GetName(), Answer: a}), codes.FailedPrecondition, server.ReasonState)
	}
	err = refusal(t, r.introductions.CreateIntroduction, sam, &pb.CreateIntroductionRequest{Introduction: asking(lot)})
	refused(t, err, codes.FailedPrecondition, server.ReasonAnsweredNo)
}

// A promised lot tells the others where they stand; what it becomes of the promise
// follows the lot.
func TestTheQueueOfAPromisedLot(t *testing.T) {
	r := openTrusted(t)
	keeper, _, lot := r.listed(t)
	var who []person
	var asked []*pb.Introduction
	for _, name := range []string{"Ada", "Ben", "Cleo", "Dora"} {
		who = append(who, r.seeker(t, name))
		asked = append(asked, r.asks(t, who[len(who)-1], lot))
	}
	stand := func() (all []string) {
		for i, p := range who {
			k := r.reads(t, p, asked[i].GetName())
			all = append(all, fmt.Sprint(k.GetAskedBefore(), k.GetPromised(), k.GetPromisedToAnother()))
		}
		return all
	}
	check := func(when string, want ...string) {
		t.Helper()
		if got := stand(); strings.Join(got, ";") != strings.Join(want, ";") {
			t.Errorf("%s: %v, want %v", when, got, want)
		}
	}
	check("asked", "0 false false", "1 false false", "2 false false", "3 false false")
	r.answers(t, keeper, asked[0].GetName(), no, false)
	r.answers(t, keeper, asked[1].GetName(), yes, true)
	check("promised", "0 false true", "0 true false", "1 false true", "2 false true")
	if got := well(t, r.lots.GetLot, nobody, &pb.GetLotRequest{Name: lot.GetName()}).GetLot(); got.GetState() != pb.LotState_LOT_STATE_PROMISED || len(got.GetHistory()) != 2 {
		t.Errorf("the lot is %v", got)
	}
	r.answers(t, keeper, asked[2].GetName(), yes, false)
	refused(t, refusal(t, r.introductions.AnswerIntroduction, keeper, &pb.AnswerIntroductionRequest{Name: asked[2].GetName(), Answer: yes, Promise: true}), codes.FailedPrecondition, server.ReasonState)
	r.moves(t, keeper, lot, pb.LotState_LOT_STATE_OFFERED)
	check("fallen back", "0 false false", "0 false false", "0 false false", "2 false false")
	r.answers(t, keeper, asked[2].GetName(), yes, true)
	check("promised again", "0 false true", "0 false true", "0 true false", "2 false true")
	r.moves(t, keeper, lot, pb.LotState_LOT_STATE_REHOMED)
	if got := r.reads(t, who[3], asked[3].GetName()); got.GetState() != pb.IntroductionState_INTRODUCTION_STATE_CLOSED || got.GetLotState() != pb.LotState_LOT_STATE_REHOMED {
		t.Errorf("who waited is told %v", got)
	}
	refused(t, refusal(t, r.introductions.AnswerIntroduction, keeper, &pb.AnswerIntroductionRequest{Name: asked[3].GetName(), Answer: yes}), codes.FailedPrecondition, server.ReasonState)
	late := r.seeker(t, "Late")
	refused(t, refusal(t, r.introductions.CreateIntroduction, late, &pb.CreateIntroductionRequest{Introduction: asking(lot)}), codes.FailedPrecondition, server.ReasonState)
	r.rehomedOf(t, who)
}

// rehomedOf checks that another keeper sees what Cleo, who was promised the lot, has
// given a home, and that Ben has nothing.
func (r *trusted) rehomedOf(t *testing.T, who []person) {
	t.Helper()
	other := r.person(t, "Perpetua")
	lot := r.lotOf(t, other, r.shopOf(t, other, "Corr", "Xenia, OH"), platen("Q1"))
	cleo := r.reads(t, other, r.asks(t, who[2], lot).GetName()).GetAsker()
	if cleo.GetRehomedCount() != 1 || len(cleo.GetRehomed()) != 1 || cleo.GetRehomed()[0].GetShopTitle() != "Marrowby" {
		t.Errorf("of Cleo, the keeper sees %v", cleo)
	}
	if ben := r.reads(t, other, r.asks(t, who[1], lot).GetName()).GetAsker(); ben.GetRehomedCount() != 0 {
		t.Errorf("of Ben, the keeper sees %v", ben)
	}
}

// Who cannot be reached cannot ask, and a shop that cannot be reached cannot say yes.
func TestBothSidesHaveToBeReachable(t *testing.T) {
	r := openTrusted(t)
	keeper := r.person(t, "Odile")
	shop := r.shopOf(t, keeper, "Marrowby", "Dayton, OH")
	lot := r.lotOf(t, keeper, shop, platen("P1"))
	sam := r.person(t, "Sam")
	ask := &pb.CreateIntroductionRequest{Introduction: asking(lot)}
	refused(t, refusal(t, r.introductions.CreateIntroduction, sam, ask), codes.FailedPrecondition, server.ReasonContact)
	me := &pb.PrivatePlace{Name: "accounts/me/privatePlace", Place: "Toledo, OH"}
	well(t, r.private.SetPrivatePlace, sam, &pb.SetPrivatePlaceRequest{PrivatePlace: me})
	refused(t, refusal(t, r.introductions.CreateIntroduction, sam, ask), codes.FailedPrecondition, server.ReasonContact)
	me.Phone = "+1 555 0177"
	well(t, r.private.SetPrivatePlace, sam, &pb.SetPrivatePlaceRequest{PrivatePlace: me})
	asked := r.asks(t, sam, lot)
	answer := &pb.AnswerIntroductionRequest{Name: asked.GetName(), Answer: yes}
	refused(t, refusal(t, r.introductions.AnswerIntroduction, keeper, answer), codes.FailedPrecondition, server.ReasonContact)
	well(t, r.private.SetPrivatePlace, keeper, &pb.SetPrivatePlaceRequest{PrivatePlace: cottage(private.NameOf(shop.GetName()))})
	well(t, r.private.DeletePrivatePlace, sam, &pb.DeletePrivatePlaceRequest{Name: me.GetName()})
	refused(t, refusal(t, r.introductions.AnswerIntroduction, keeper, answer), codes.FailedPrecondition, server.ReasonContact)
	if got := r.reads(t, sam, asked.GetName()); got.GetState() != pb.IntroductionState_INTRODUCTION_STATE_ASKED {
		t.Errorf("a yes that could not be has left %v", got)
	}
	well(t, r.private.SetPrivatePlace, sam, &pb.SetPrivatePlaceRequest{PrivatePlace: me})
	r.answers(t, keeper, asked.GetName(), yes, false)
}

// Either side can block the other: no more questions, open ones are answered no, and
// contacts are not shown any more.
func TestBlocking(t *testing.T) {
	r := openTrusted(t)
	keeper, shop, first := r.listed(t)
	second, third := r.lotOf(t, keeper, shop, platen("P2")), r.lotOf(t, keeper, shop, platen("P3"))
	sam := r.seeker(t, "Sam")
	accepted, open := r.asks(t, sam, first), r.asks(t, sam, second)
	r.answers(t, keeper, accepted.GetName(), yes, false)
	blocked := well(t, r.introductions.BlockIntroduction, keeper, &pb.BlockIntroductionRequest{Name: open.GetName()}).GetIntroduction()
	if !blocked.GetBlocked() || blocked.GetState() != pb.IntroductionState_INTRODUCTION_STATE_DECLINED {
		t.Errorf("blocked: %v", blocked)
	}
	for _, p := range []person{sam, keeper} {
		if got := r.reads(t, p, accepted.GetName()); got.GetContact() != nil || !got.GetBlocked() {
			t.Errorf("after a block, %v", got)
		}
	}
	ask := &pb.CreateIntroductionRequest{Introduction: asking(third)}
	refused(t, refusal(t, r.introductions.CreateIntroduction, sam, ask), codes.FailedPrecondition, server.ReasonNotTaking)
	lift := &pb.BlockIntroductionRequest{Name: open.GetName(), Lift: true}
	refused(t, refusal(t, r.introductions.BlockIntroduction, sam, lift), codes.FailedPrecondition, server.ReasonState)
	for range 2 {
		well(t, r.introductions.BlockIntroduction, keeper, lift)
	}
	if got := r.reads(t, sam, accepted.GetName()); got.GetContact() == nil {
		t.Errorf("after the block was lifted, %v", got)
	}
	asked := r.asks(t, sam, third)
	well(t, r.introductions.BlockIntroduction, sam, &pb.BlockIntroductionRequest{Name: asked.GetName()})
	refused(t, refusal(t, r.introductions.BlockIntroduction, keeper, &pb.BlockIntroductionRequest{Name: asked.GetName(), Lift: true}), codes.FailedPrecondition, server.ReasonState)
}

func TestReports(t *testing.T) {
	r := openTrusted(t)
	keeper, shop, lot := r.listed(t)
	sam := r.seeker(t, "Sam")
	asked := r.asks(t, sam, lot)
	fields := refused(t, refusal(t, r.introductions.ReportIntroduction, keeper, &pb.ReportIntroductionRequest{Name: asked.GetName()}), codes.InvalidArgument, server.ReasonInvalid)
	if fields["reason"] == "" {
		t.Errorf("got %v", fields)
	}
	well(t, r.introductions.ReportIntroduction, keeper, &pb.ReportIntroductionRequest{Name: asked.GetName(), Reason: "asks for my bank"})
	well(t, r.introductions.ReportIntroduction, sam, &pb.ReportIntroductionRequest{Name: asked.GetName(), Reason: "is not theirs"})
	got := well(t, r.introductions.ListReports, r.operator, &pb.ListReportsRequest{}).GetReports()
	if len(got) != 2 || got[0].GetReporter() != keeper.name || got[0].GetAbout() != sam.name || got[1].GetAbout() != shop.GetName() || got[0].GetIntroduction().GetNote() == "" {
		t.Fatalf("reported %v", got)
	}
	for range 2 {
		well(t, r.introductions.CloseReport, r.operator, &pb.CloseReportRequest{Name: got[0].GetName()})
	}
	if left := well(t, r.introductions.ListReports, r.operator, &pb.ListReportsRequest{}).GetReports(); len(left) != 1 {
		t.Errorf("left %v", left)
	}
	if all := well(t, r.introductions.ListReports, r.operator, &pb.ListReportsRequest{IncludeClosed: true}).GetReports(); len(all) != 2 || all[0].GetCloseTime() == nil {
		t.Errorf("all %v", all)
	}
}

// comeBack is when an error says to come back.
func comeBack(err error) time.Duration {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.RetryInfo); ok {
			return info.GetRetryDelay().AsDuration()
		}
	}
	return 0
}

// An account asks ten times a day, and is told when it may again.
func TestIntroductionsADay(t *testing.T) {
	r := openTrusted(t)
	keeper, shop, _ := r.listed(t)
	sam, toni := r.seeker(t, "Sam"), r.seeker(t, "Toni")
	var err error
	for n := range 11 {
		lot := r.lotOf(t, keeper, shop, platen(fmt.Sprint("Q", n)))
		if n == 10 {
			err = refusal(t, r.introductions.CreateIntroduction, sam, &pb.CreateIntroductionRequest{Introduction: asking(lot)})
			r.asks(t, toni, lot)
			break
		}
		r.asks(t, sam, lot)
	}
	refused(t, err, codes.ResourceExhausted, server.ReasonTooMuch)
	if after := comeBack(err); after < 23*time.Hour || after > 25*time.Hour {
		t.Errorf("told to come back after %v", after)
	}
}

func TestIntroductionsThatAreWrong(t *testing.T) {
	r := openTrusted(t)
	keeper, _, lot := r.listed(t)
	sam := r.seeker(t, "Sam")
	for field, change := range map[string]func(*pb.Introduction){
		"introduction.note":    func(i *pb.Introduction) { i.Note = " " },
		"introduction.purpose": func(i *pb.Introduction) { i.Purpose = strings.Repeat("x", 1001) },
	} {
		i := asking(lot)
		change(i)
		fields := refused(t, refusal(t, r.introductions.CreateIntroduction, sam, &pb.CreateIntroductionRequest{Introduction: i}), codes.InvalidArgument, server.ReasonInvalid)
		if fields[field] == "" || len(fields) != 1 {
			t.Errorf("%s: got %v", field, fields)
		}
	}
	refused(t, refusal(t, r.introductions.CreateIntroduction, sam, &pb.CreateIntroductionRequest{}), codes.InvalidArgument, server.ReasonInvalid)
	asked := r.asks(t, sam, lot)
	for field, req := range map[string]*pb.AnswerIntroductionRequest{
		"answer":  {Name: asked.GetName()},
		"promise": {Name: asked.GetName(), Answer: no, Promise: true},
		"note":    {Name: asked.GetName(), Answer: no, Note: strings.Repeat("x", 2001)},
	} {
		if fields := refused(t, refusal(t, r.introductions.AnswerIntroduction, keeper, req), codes.InvalidArgument, server.ReasonInvalid); fields[field] == "" {
			t.Errorf("%s: got %v", field, fields)
		}
	}
}

// A repeated question is asked once; without accounts there are none.
func TestAQuestionIsAskedOnce(t *testing.T) {
	r := openTrusted(t)
	_, _, lot := r.listed(t)
	sam := r.seeker(t, "Sam")
	req := &pb.CreateIntroductionRequest{Introduction: asking(lot), RequestId: "one"}
	first, second := well(t, r.introductions.CreateIntroduction, sam, req), well(t, r.introductions.CreateIntroduction, sam, req)
	if first.GetIntroduction().GetName() != second.GetIntroduction().GetName() {
		t.Errorf("asked %v and %v", first, second)
	}
	plain := open(t)
	_, err := pb.NewIntroductionServiceClient(plain.conn).ListIntroductions(t.Context(), &pb.ListIntroductionsRequest{})
	refused(t, err, codes.FailedPrecondition, server.ReasonAccountsOff)
}
