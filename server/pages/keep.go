package pages

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/fieldmaskpb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// keepPage is what a keeper has, and what they have not read.
type keepPage struct {
	Shops       []shopPage
	Notices     []noticeLine
	Next, First string
}

// noticeLine tells that people look for a lot.
type noticeLine struct{ ID, Lot, Tag, Href, Looking, When string }

// errSignIn sends whoever has not signed in to do so.
var errSignIn = status.Error(codes.Unauthenticated, "sign in")

func (s *site) keeping(v *visit) error {
	if s.Accounts && v.token == "" {
		return errSignIn
	}
	ctx, cancel := v.calling()
	defer cancel()
	token := v.r.URL.Query().Get("page")
	shops, err := s.shops.ListShops(ctx, &pb.ListShopsRequest{OwnOnly: true, PageSize: lotsOnAPage, PageToken: token})
	if err != nil {
		return err
	}
	notices, err := s.interest.ListNotices(ctx, &pb.ListNoticesRequest{PageSize: 50})
	if err != nil {
		return err
	}
	var page keepPage
	for _, one := range shops.GetShops() {
		page.Shops = append(page.Shops, shopPage{Shop: one, ClearBy: dateText(one.GetClearBy())})
	}
	for _, n := range notices.GetNotices() {
		in := n.GetInterest()
		page.Notices = append(page.Notices, noticeLine{
			ID: strings.TrimPrefix(n.GetName(), "notices/"), Lot: in.GetLotTitle(), Tag: in.GetTag(), Href: keepLink(in.GetLot()),
			Looking: looking(in), When: momentText(n.GetCreateTime().AsTime()),
		})
	}
	if token != "" {
		page.First = "/keep"
	}
	if next := shops.GetNextPageToken(); next != "" {
		page.Next = "/keep?page=" + url.QueryEscape(next)
	}
	s.show(v, http.StatusOK, "keep", view{Title: "What you keep", Here: "keep", Body: page})
	return nil
}

// keepLink is the keeper's page of a shop or lot.
func keepLink(name string) string { return "/keep/" + strings.TrimPrefix(name, "shops/") }

// Keep is the address of the keeper's page of a shop.
func (p shopPage) Keep() string { return keepLink(p.GetName()) }

// looking is who looks for a lot, in words; empty for nobody.
func looking(in *pb.Interest) string {
	if in.GetSeekers() == 0 {
		return ""
	}
	text := "At least " + people(in.GetSeekers()) + " for it"
	for _, b := range in.GetBands() {
		text += fmt.Sprintf("; %d or more within %d miles by road", b.GetSeekers(), b.GetWithinRoadMiles())
	}
	return text + "."
}

func people(n int32) string {
	if n == 1 {
		return "one seeker looks"
	}
	return fmt.Sprintf("%d seekers look", n)
}

func (s *site) noticeRead(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	if _, err := s.interest.AcknowledgeNotice(ctx, &pb.AcknowledgeNoticeRequest{Name: "notices/" + v.r.PathValue("notice")}); err != nil {
		return err
	}
	return s.goTo(v, "/keep")
}

// keptShop is a shop as its keeper sees it.
type keptShop struct {
	*pb.Shop
	Href        string
	Lots        []keptLot
	Next, First string
}

// keptLot is a lot as its keeper sees it, with what can be done with it.
type keptLot struct {
	*pb.Lot
	Href, Public, State, Looking, History string
	Steps                                 []step
	Final                                 bool
	Paid, Wrong                           string
}

// step is where a lot may go from where it stands.
type step struct{ State, Does string }

// steps are the ways on from each state, in words. Which of them is open is settled
// by the registry.
var steps = map[pb.LotState][]step{
	pb.LotState_LOT_STATE_DRAFT:     {{"proofed", "It reads as it should: pass the proof"}, {"withdrawn", "Withdraw it"}},
	pb.LotState_LOT_STATE_PROOFED:   {{"offered", "Offer it to everybody"}, {"draft", "Back to a draft"}, {"withdrawn", "Withdraw it"}},
	pb.LotState_LOT_STATE_OFFERED:   {{"promised", "It is promised"}, {"withdrawn", "Withdraw it"}},
	pb.LotState_LOT_STATE_PROMISED:  {{"offered", "Offer it again"}, {"withdrawn", "Withdraw it"}},
	pb.LotState_LOT_STATE_WITHDRAWN: {{"offered", "Offer it again"}},
}

func keptLotOf(l *pb.Lot) keptLot {
	state := l.GetState()
	return keptLot{
		Lot: l, Href: keepLink(l.GetName()), Public: "/" + l.GetName(), State: trade.StateWord(state), History: historyText(l), Steps: steps[state],
		Final: state == pb.LotState_LOT_STATE_OFFERED || state == pb.LotState_LOT_STATE_PROMISED,
	}
}

func (s *site) keepShop(v *visit) error {
	ctx, cancel := v.calling()
	defer cancel()
	name, token := "shops/"+v.r.PathValue("shop"), v.r.URL.Query().Get("page")
	shop, err := s.shops.GetShop(ctx, &pb.GetShopRequest{Name: name})
	if err != nil {
		return err
	}
	wanted, err := s.lookedFor(ctx, name) // which refuses whoever does not keep it
	if err != nil {
		return err
	}
	lots, err := s.lots.ListLots(ctx, &pb.ListLotsRequest{Parent: name, PageSize: lotsOnAPage, PageToken: token})
	if err != nil {
		return err
	}
	page := keptShop{Shop: shop.GetShop(), Href: "/" + name}
	for _, l := range lots.GetLots() {
		one := keptLotOf(l)
		one.Looking = wanted[l.GetName()]
		page.Lots = append(page.Lots, one)
	}
	if token != "" {
		page.First = keepLink(name)
	}
	if next := lots.GetNextPageToken(); next != "" {
		page.Next = keepLink(name) + "?page=" + url.QueryEscape(next)
	}
	s.show(v, http.StatusOK, "keep-shop", view{Title: page.GetTitle(), Here: "keep", Body: page})
	return nil
}

// lookedFor is who looks for the first thousand lots of a shop, in words.
func (s *site) lookedFor(ctx context.Context, shop string) (map[string]string, error) {
	got, err := s.interest.ListInterest(ctx, &pb.ListInterestRequest{Parent: shop, PageSize: 1000})
	if err != nil {
		return nil, err
	}
	all := map[string]string{}
	for _, in := range got.GetInterests() {
		all[in.GetLot()] = looking(in)
	}
	return all, nil
}

func (s *site) keepLot(v *visit) error { return s.showKept(v, http.StatusOK, "", "") }

// showKept shows a lot to its keeper, with what they typed and what is wrong with it.
func (s *site) showKept(v *visit, code int, paid, wrong string) error {
	l, err := s.lotAsked(v)
	if err != nil {
		return err
	}
	ctx, cancel := v.calling()
	defer cancel()
	in, err := s.interest.GetInterest(ctx, &pb.GetInterestRequest{Name: l.GetName()})
	if err != nil {
		return err
	}
	page := keptLotOf(l)
	page.Looking, page.Paid, page.Wrong = looking(in.GetInterest()), paid, wrong
	s.show(v, code, "keep-lot", view{Title: l.GetTitle(), Here: "keep", Body: page})
	return nil
}

// move moves a lot on, if it still stands as it did when its keeper looked.
func (s *site) move(v *visit) error {
	state, err := trade.ParseState(v.r.PostFormValue("state"))
	if err != nil {
		return &refusal{http.StatusBadRequest, words[codes.InvalidArgument].title, sentence(err.Error())}
	}
	name := "shops/" + v.r.PathValue("shop") + "/lots/" + v.r.PathValue("lot")
	lot, mask := &pb.Lot{Name: name, State: state, Etag: v.r.PostFormValue("etag")}, []string{"state"}
	if paid := strings.TrimSpace(v.r.PostFormValue("paid")); paid != "" {
		if lot.PricePaid, err = trade.ParseMoney(paid, currency); err != nil {
			return s.showKept(v, http.StatusBadRequest, paid, sentence(err.Error()))
		}
		mask = append(mask, "price_paid")
	}
	ctx, cancel := v.calling()
	defer cancel()
	if _, err := s.lots.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: lot, UpdateMask: &fieldmaskpb.FieldMask{Paths: mask}}); err != nil {
		return err
	}
	return s.goTo(v, keepLink(name))
}
