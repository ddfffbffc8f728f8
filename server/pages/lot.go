package pages

import (
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	"heirpress/client/rigging"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
	"heirpress/search/score"
	"heirpress/search/trade"
)

// lotPage is all that is known of a lot.
type lotPage struct {
	*pb.Lot
	ShopHref string
	// Urgent says that it has to go soon, and Price what is asked.
	Urgent, Price, ClearBy, State string
	Measures                      []fact
	// Complete says how much of it is there; Reasons why, and Ask what to ask.
	Complete     string
	Reasons, Ask []string
	Moving       string
	Brief        string
	Cautions     []string
}

// fact is something known of a lot.
type fact struct{ Name, Text string }

func (s *site) lot(v *visit) error {
	l, err := s.lotAsked(v)
	if err != nil {
		return err
	}
	s.show(v, http.StatusOK, "lot", view{Title: l.GetTitle(), Here: "find", Body: s.lotPage(l)})
	return nil
}

// lotAsked is the lot that the address of a page names.
func (s *site) lotAsked(v *visit) (*pb.Lot, error) {
	ctx, cancel := v.calling()
	defer cancel()
	got, err := s.lots.GetLot(ctx, &pb.GetLotRequest{Name: "shops/" + v.r.PathValue("shop") + "/lots/" + v.r.PathValue("lot")})
	return got.GetLot(), err
}

func (s *site) lotPage(l *pb.Lot) lotPage {
	shop, _, _ := strings.Cut(l.GetName(), "/lots/")
	share := trade.Completeness(l, nil, "")
	return lotPage{
		Lot: l, ShopHref: "/" + shop, Urgent: notice.Urgent(l, s.Clock()), Price: notice.Price(l), ClearBy: dateText(l.GetClearBy()),
		State: historyText(l), Measures: measures(l), Complete: completeText(share), Reasons: share.Reasons, Ask: share.Ask,
		Moving: sentence(notice.WeightClass(score.WeightClassOf(l))), Brief: "/" + l.GetName() + "/moving-brief",
		Cautions: rigging.Plan([]*pb.Lot{l}, new(rigging.Site)).Cautions,
	}
}

// completeText is a share in words.
func completeText(s trade.Share) string {
	low, high := math.Round(100*s.Low), math.Round(100*s.High)
	if low == high {
		return fmt.Sprintf("About %.0f of 100.", low)
	}
	return fmt.Sprintf("Somewhere between %.0f and %.0f of 100: what nobody has said parts the two.", low, high)
}

// historyText is every step of a lot with its day.
func historyText(l *pb.Lot) string {
	var steps []string
	for _, s := range l.GetHistory() {
		steps = append(steps, trade.StateWord(s.GetState())+" on "+momentText(s.GetTime().AsTime()))
	}
	return strings.Join(steps, ", then ")
}

// momentText is the day of a moment, in UTC.
func momentText(at time.Time) string {
	y, m, d := at.UTC().Date()
	return trade.FormatDate(&pb.Date{Year: int32(y), Month: int32(m), Day: int32(d)})
}
