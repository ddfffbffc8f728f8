package server_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
)

// A scene is one thing in a state, and everybody who may be something to it.
type scene struct {
	*world
	who    map[access.Relation]somebody
	shop   *pb.Shop
	lot    *pb.Lot
	list   string
	alert  *pb.Alert
	notice *pb.Notice
	target somebody // an account that is done something to
	token  string
	given  *pb.Delegation
	// patience is how long something is waited for that is to come; what is not to
	// come is not waited for as long.
	patience time.Duration
	// asked and reported are an introduction and a report.
	asked, reported string
	// code is a code for the proof of the shop.
	code string
}

// A probe makes a call, and tells whether the scene's thing is in the answer, if it
// is the answer of a list.
type probe func(*scene, context.Context) (bool, error)

// probeOf is the probe of a method for a kind of thing.
func probeOf(method string, kind access.Kind) probe {
	return probes[strings.TrimPrefix(method, "/heirpress.v1.")+" "+string(kind)]
}

// call is a probe that is not of a list.
func call[A any](do func(*scene, context.Context) (A, error)) probe {
	return func(s *scene, ctx context.Context) (bool, error) {
		_, err := do(s, ctx)
		return true, err
	}
}

// The matrix: every method of the contract, by every relation to a thing of every
// kind that the method is about, in every state, does what the table says. Each
// cell is a scene of its own, and a real client's call.
func TestMatrix(t *testing.T) {
	w := openAccountsWith(t, server.Config{Accounts: server.ByApproval, Keys: newKeys(t), Limits: server.Limits{PerSecond: 1e6, Burst: 1e6}})
	crowd := w.crowd(t)
	cells := 0
	for method, rules := range access.Table {
		for _, row := range rules {
			p := probeOf(method, row.Kind)
			if p == nil {
				t.Errorf("there is no probe for %s of a %s", method, row.Kind)
				continue
			}
			for _, state := range row.States {
				for _, relation := range []access.Relation{access.Anonymous, access.Pending, access.Stranger, access.GoBetween, access.Keeper, access.Operator} {
					want := row.For(relation)
					if want == access.Never {
						continue
					}
					cells++
					s := w.scene(t, crowd, row.Kind, state)
					s.patience = 100 * time.Millisecond
					if want == access.Yes {
						s.patience = 20 * time.Second
					}
					caller := s.who[relation]
					seen, err := p(s, caller.as(t))
					if got := verdictOf(seen, err); got != want {
						t.Errorf("%s of a %s that is %s, by %s: %s (%v), want %s", method, row.Kind, state, relation, got, err, want)
					}
				}
			}
		}
	}
	t.Logf("%d cells", cells)
}

// crowd is somebody for each relation.
func (w *world) crowd(t testing.TB) map[access.Relation]somebody {
	owner := w.invite(t)
	return map[access.Relation]somebody{
		access.Anonymous: {}, access.Pending: w.join(t, ""), access.Stranger: w.invite(t), access.GoBetween: w.invite(t),
		access.Keeper: owner, access.Operator: w.operator,
	}
}

// scene makes a new thing of a kind in a state.
func (w *world) scene(t *testing.T, crowd map[access.Relation]somebody, kind access.Kind, state access.State) *scene {
	t.Helper()
	s := &scene{world: w, who: crowd}
	owner := crowd[access.Keeper]
	switch kind {
	case access.AnyThing:
		s.target = w.invite(t)
		s.report(t, w.ask(t, s, access.AnIntroduction))
	case access.AShop, access.ALot, access.ADelegation:
		s.shop = w.shopOf(t, owner)
		s.given = w.delegate(t, owner, crowd[access.GoBetween], s.shop.GetName())
		s.lot, _ = w.lotIn(t, owner, s.shop.GetName(), lotStateFor(kind, state))
		s.target = crowd[access.Stranger]
		w.contact(t, s)
	case access.AWantedList:
		s.list, _ = w.listOf(t, owner, &pb.LotFilter{Words: "nothing that there is"})
		s.target = crowd[access.Stranger]
	case access.AnAlert, access.ANotice:
		w.meet(t, s)
	case access.AProofCode, access.AKeeperlessShop:
		w.keeperless(t, s)
	case access.AnIntroduction, access.AnOwnIntroduction:
		w.ask(t, s, kind)
	case access.AnAccount, access.AToken: // new ones, so that each has a token to lose
		s.target = w.invite(t)
		s.token = s.target.token
		s.who = map[access.Relation]somebody{}
		for relation, one := range crowd {
			s.who[relation] = one
		}
		s.who[access.Keeper] = s.target
		w.setContact(t, s.target)
	}
	return s
}

// lotStateFor is the state of the lot that makes its shop shown or hidden, or is
// itself what is asked for.
func lotStateFor(kind access.Kind, state access.State) pb.LotState {
	switch {
	case kind == access.ALot:
		return pb.LotState(pb.LotState_value["LOT_STATE_"+strings.ToUpper(string(state))])
	case state == "hidden":
		return pb.LotState_LOT_STATE_DRAFT
	}
	return pb.LotState_LOT_STATE_OFFERED
}

// meet has a lot and a wanted list of the owner's meet: the owner has an alert of
// it, and, as the keeper, a notice.
func (w *world) meet(t testing.TB, s *scene) {
	t.Helper()
	owner := s.who[access.Keeper]
	s.shop = w.shopOf(t, owner)
	w.delegate(t, owner, s.who[access.GoBetween], s.shop.GetName())
	s.list, _ = w.listOf(t, owner, &pb.LotFilter{Shop: s.shop.GetName()})
	var change uint64
	s.lot, change = w.lotIn(t, owner, s.shop.GetName(), pb.LotState_LOT_STATE_OFFERED)
	alerts, err := w.alerts.ListAlerts(owner.as(t), &pb.ListAlertsRequest{WantedList: s.list, AtLeastChange: change})
	if err != nil || len(alerts.GetAlerts()) != 1 {
		t.Fatalf("alerts %v, %v", alerts, err)
	}
	s.alert = alerts.GetAlerts()[0]
	notices, err := w.interest.ListNotices(owner.as(t), &pb.ListNoticesRequest{Shop: s.shop.GetName(), AtLeastChange: change})
	if err != nil || len(notices.GetNotices()) != 1 {
		t.Fatalf("notices %v, %v", notices, err)
	}
	s.notice = notices.GetNotices()[0]
}

// verdictOf is what the table would have to say of an answer.
func verdictOf(seen bool, err error) access.Verdict {
	reason := reasonOf(err)
	switch code := status.Code(err); {
	case code == codes.OK && seen:
		return access.Yes
	case code == codes.OK, code == codes.NotFound && reason == server.ReasonNotFound:
		return access.Hidden
	case code == codes.PermissionDenied && reason == server.ReasonDenied:
		return access.No
	case code == codes.Unauthenticated && reason == server.ReasonTokenNeeded:
		return access.NeedToken
	}
	return access.Verdict("an error")
}

func reasonOf(err error) string {
	for _, d := range status.Convert(err).Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return info.GetReason()
		}
	}
	return ""
}

// through reads all pages of a list, and tells whether a name is on one of them.
func through[A interface{ GetNextPageToken() string }](name string, ask func(token string) (A, error), names func(A) []string) (bool, error) {
	seen := false
	for token := ""; ; {
		got, err := ask(token)
		if err != nil {
			return false, err
		}
		for _, n := range names(got) {
			seen = seen || n == name
		}
		if token = got.GetNextPageToken(); token == "" {
			return seen, nil
		}
	}
}

func namesOf[T interface{ GetName() string }](all []T) []string {
	var names []string
	for _, one := range all {
		names = append(names, one.GetName())
	}
	return names
}

var probes = map[string]probe{
	"SearchService/SearchLots lot": func(s *scene, ctx context.Context) (bool, error) {
		return through(s.lot.GetName(), func(token string) (*pb.SearchLotsResponse, error) {
			return s.search.SearchLots(ctx, &pb.SearchLotsRequest{
				Filter:        &pb.LotFilter{Shop: s.shop.GetName(), States: everyState()},
				AtLeastChange: s.lot.GetRevision(), PageToken: token,
			})
		}, func(a *pb.SearchLotsResponse) (names []string) {
			for _, h := range a.GetHits() {
				names = append(names, h.GetLot().GetName())
			}
			return names
		})
	},

	"ShopService/CreateShop any": call(func(s *scene, ctx context.Context) (*pb.CreateShopResponse, error) {
		return s.shops.CreateShop(ctx, &pb.CreateShopRequest{Shop: &pb.Shop{Title: s.name("Another"), Place: "Dayton, OH"}})
	}),
	"ShopService/GetShop shop": call(func(s *scene, ctx context.Context) (*pb.GetShopResponse, error) {
		return s.shops.GetShop(ctx, &pb.GetShopRequest{Name: s.shop.GetName()})
	}),
	"ShopService/ListShops shop": func(s *scene, ctx context.Context) (bool, error) {
		list := func(title string) (bool, error) {
			return through(s.shop.GetName(), func(token string) (*pb.ListShopsResponse, error) {
				return s.shops.ListShops(ctx, &pb.ListShopsRequest{PageSize: 7, PageToken: token, Title: title})
			}, func(a *pb.ListShopsResponse) []string { return namesOf(a.GetShops()) })
		}
		seen, err := list("")
		titled, err2 := list(s.shop.GetTitle())
		if seen != titled {
			return false, fmt.Errorf("in the list of all: %v; by its title: %v", seen, titled)
		}
		return seen, errors.Join(err, err2)
	},
	"ShopService/UpdateShop shop": call(func(s *scene, ctx context.Context) (*pb.UpdateShopResponse, error) {
		return s.shops.UpdateShop(ctx, &pb.UpdateShopRequest{Shop: &pb.Shop{Name: s.shop.GetName(), Title: s.shop.GetTitle()}, UpdateMask: maskOf("title")})
	}),

	"LotService/CreateLot shop": call(func(s *scene, ctx context.Context) (*pb.CreateLotResponse, error) {
		return s.lots.CreateLot(ctx, &pb.CreateLotRequest{Parent: s.shop.GetName(), Lot: platen("another")})
	}),
	"LotService/BatchCreateLots shop": call(func(s *scene, ctx context.Context) (*pb.BatchCreateLotsResponse, error) {
		return s.lots.BatchCreateLots(ctx, &pb.BatchCreateLotsRequest{Parent: s.shop.GetName(), Lots: []*pb.Lot{platen("another")}})
	}),
	"LotService/GetLot lot": call(func(s *scene, ctx context.Context) (*pb.GetLotResponse, error) {
		return s.lots.GetLot(ctx, &pb.GetLotRequest{Name: s.lot.GetName()})
	}),
	"LotService/ListLots shop": call(func(s *scene, ctx context.Context) (*pb.ListLotsResponse, error) {
		return s.lots.ListLots(ctx, &pb.ListLotsRequest{Parent: s.shop.GetName()})
	}),
	"LotService/ListLots lot": func(s *scene, ctx context.Context) (bool, error) {
		// Another lot makes the shop one that everybody sees.
		owner := s.who[access.Keeper].in(context.WithoutCancel(ctx))
		if _, err := s.lots.CreateLot(owner, &pb.CreateLotRequest{Parent: s.shop.GetName(), Lot: platen("another")}); err != nil {
			return false, err
		}
		list := func(tag string) (bool, error) {
			return through(s.lot.GetName(), func(token string) (*pb.ListLotsResponse, error) {
				return s.lots.ListLots(ctx, &pb.ListLotsRequest{Parent: s.shop.GetName(), PageSize: 1, PageToken: token, Tag: tag})
			}, func(a *pb.ListLotsResponse) []string { return namesOf(a.GetLots()) })
		}
		seen, err := list("")
		tagged, err2 := list(s.lot.GetTag())
		if seen != tagged {
			return false, fmt.Errorf("in the list of all: %v; by its tag: %v", seen, tagged)
		}
		return seen, errors.Join(err, err2)
	},
	"LotService/UpdateLot lot": call(func(s *scene, ctx context.Context) (*pb.UpdateLotResponse, error) {
		return s.lots.UpdateLot(ctx, &pb.UpdateLotRequest{Lot: &pb.Lot{Name: s.lot.GetName(), PricePaid: &pb.Money{CurrencyCode: "USD", Units: 800}}, UpdateMask: maskOf("price_paid")})
	}),

	"InterestService/GetInterest lot": call(func(s *scene, ctx context.Context) (*pb.GetInterestResponse, error) {
		return s.interest.GetInterest(ctx, &pb.GetInterestRequest{Name: s.lot.GetName()})
	}),
	"InterestService/ListInterest shop": call(func(s *scene, ctx context.Context) (*pb.ListInterestResponse, error) {
		return s.interest.ListInterest(ctx, &pb.ListInterestRequest{Parent: s.shop.GetName()})
	}),
	"InterestService/ListNotices notice": func(s *scene, ctx context.Context) (bool, error) {
		list := func(shop string) (bool, error) {
			return through(s.notice.GetName(), func(token string) (*pb.ListNoticesResponse, error) {
				return s.interest.ListNotices(ctx, &pb.ListNoticesRequest{Shop: shop, PageSize: 3, PageToken: token})
			}, func(a *pb.ListNoticesResponse) []string { return namesOf(a.GetNotices()) })
		}
		return agree(list, s.shop.GetName())
	},
	"InterestService/AcknowledgeNotice notice": call(func(s *scene, ctx context.Context) (*pb.AcknowledgeNoticeResponse, error) {
		return s.interest.AcknowledgeNotice(ctx, &pb.AcknowledgeNoticeRequest{Name: s.notice.GetName()})
	}),

	"WantService/CreateWantedList any": call(func(s *scene, ctx context.Context) (*pb.CreateWantedListResponse, error) {
		return s.wants.CreateWantedList(ctx, &pb.CreateWantedListRequest{WantedList: wanting(s.name("Another"), "platen")})
	}),
	"WantService/GetWantedList wanted-list": call(func(s *scene, ctx context.Context) (*pb.GetWantedListResponse, error) {
		return s.wants.GetWantedList(ctx, &pb.GetWantedListRequest{Name: s.list})
	}),
	"WantService/ListWantedLists wanted-list": func(s *scene, ctx context.Context) (bool, error) {
		return through(s.list, func(token string) (*pb.ListWantedListsResponse, error) {
			return s.wants.ListWantedLists(ctx, &pb.ListWantedListsRequest{PageSize: 3, PageToken: token})
		}, func(a *pb.ListWantedListsResponse) []string { return namesOf(a.GetWantedLists()) })
	},
	"WantService/UpdateWantedList wanted-list": call(func(s *scene, ctx context.Context) (*pb.UpdateWantedListResponse, error) {
		return s.wants.UpdateWantedList(ctx, &pb.UpdateWantedListRequest{
			WantedList: &pb.WantedList{Name: s.list, Place: "Toledo, OH"}, UpdateMask: maskOf("place"),
		})
	}),
	"WantService/DeleteWantedList wanted-list": call(func(s *scene, ctx context.Context) (*pb.DeleteWantedListResponse, error) {
		return s.wants.DeleteWantedList(ctx, &pb.DeleteWantedListRequest{Name: s.list})
	}),

	"AlertService/ListAlerts alert": func(s *scene, ctx context.Context) (bool, error) {
		list := func(of string) (bool, error) {
			return through(s.alert.GetName(), func(token string) (*pb.ListAlertsResponse, error) {
				return s.alerts.ListAlerts(ctx, &pb.ListAlertsRequest{WantedList: of, PageSize: 3, PageToken: token})
			}, func(a *pb.ListAlertsResponse) []string { return namesOf(a.GetAlerts()) })
		}
		return agree(list, s.list)
	},
	"AlertService/AcknowledgeAlert alert": call(func(s *scene, ctx context.Context) (*pb.AcknowledgeAlertResponse, error) {
		return s.alerts.AcknowledgeAlert(ctx, &pb.AcknowledgeAlertRequest{Name: s.alert.GetName()})
	}),
	"AlertService/StreamAlerts alert": func(s *scene, ctx context.Context) (bool, error) {
		return agree(func(of string) (bool, error) { return s.streamed(ctx, of) }, s.list)
	},

	"DeliveryService/GetDelivery wanted-list": call(func(s *scene, ctx context.Context) (*pb.GetDeliveryResponse, error) {
		return s.deliveries.GetDelivery(ctx, &pb.GetDeliveryRequest{Name: s.list + "/delivery"})
	}),
	"DeliveryService/SetDelivery wanted-list": call(func(s *scene, ctx context.Context) (*pb.SetDeliveryResponse, error) {
		return s.deliveries.SetDelivery(ctx, &pb.SetDeliveryRequest{Delivery: &pb.Delivery{Name: s.list + "/delivery", Email: "ann@example.org"}})
	}),
	"DeliveryService/DeleteDelivery wanted-list": call(func(s *scene, ctx context.Context) (*pb.DeleteDeliveryResponse, error) {
		return s.deliveries.DeleteDelivery(ctx, &pb.DeleteDeliveryRequest{Name: s.list + "/delivery"})
	}),

	"PhotoService/UploadPhoto shop": call(func(s *scene, ctx context.Context) (*pb.Photo, error) { return s.upload(ctx, s.shop.GetName()) }),
	"PhotoService/UploadPhoto lot":  call(func(s *scene, ctx context.Context) (*pb.Photo, error) { return s.upload(ctx, s.lot.GetName()) }),
	"PhotoService/GetUpload shop": call(func(s *scene, ctx context.Context) (*pb.GetUploadResponse, error) {
		return s.photos.GetUpload(ctx, &pb.GetUploadRequest{Upload: uploadOf(s.shop.GetName(), aPhoto)})
	}),
	"PhotoService/GetUpload lot": call(func(s *scene, ctx context.Context) (*pb.GetUploadResponse, error) {
		return s.photos.GetUpload(ctx, &pb.GetUploadRequest{Upload: uploadOf(s.lot.GetName(), aPhoto)})
	}),
	"PhotoService/GetPhoto shop":    ofPhoto(theShopOf, (*scene).gets),
	"PhotoService/GetPhoto lot":     ofPhoto(theLotOf, (*scene).gets),
	"PhotoService/ListPhotos shop":  ofPhoto(theShopOf, (*scene).lists),
	"PhotoService/ListPhotos lot":   ofPhoto(theLotOf, (*scene).lists),
	"PhotoService/DeletePhoto shop": ofPhoto(theShopOf, (*scene).deletes),
	"PhotoService/DeletePhoto lot":  ofPhoto(theLotOf, (*scene).deletes),

	"RoadService/MeasureRoad any": call(func(s *scene, ctx context.Context) (*pb.MeasureRoadResponse, error) {
		return s.roads.MeasureRoad(ctx, &pb.MeasureRoadRequest{From: "Dayton, OH", To: "Pittsburgh, PA"})
	}),

	"AccountService/CreateInvitation any": call(func(s *scene, ctx context.Context) (*pb.CreateInvitationResponse, error) {
		return s.accounts.CreateInvitation(ctx, &pb.CreateInvitationRequest{})
	}),
	"AccountService/CreateAccount any": call(func(s *scene, ctx context.Context) (*pb.CreateAccountResponse, error) {
		return s.accounts.CreateAccount(ctx, &pb.CreateAccountRequest{Account: &pb.Account{DisplayName: "Another"}})
	}),
	"AccountService/GetAccount account": call(func(s *scene, ctx context.Context) (*pb.GetAccountResponse, error) {
		return s.accounts.GetAccount(ctx, &pb.GetAccountRequest{Name: s.target.account})
	}),
	"AccountService/ListAccounts any": call(func(s *scene, ctx context.Context) (*pb.ListAccountsResponse, error) {
		return s.accounts.ListAccounts(ctx, &pb.ListAccountsRequest{})
	}),
	"AccountService/ApproveAccount any": call(func(s *scene, ctx context.Context) (*pb.ApproveAccountResponse, error) {
		return s.accounts.ApproveAccount(ctx, &pb.ApproveAccountRequest{Name: s.target.account})
	}),
	"AccountService/SuspendAccount any": call(func(s *scene, ctx context.Context) (*pb.SuspendAccountResponse, error) {
		return s.accounts.SuspendAccount(ctx, &pb.SuspendAccountRequest{Name: s.target.account})
	}),
	"AccountService/CreateToken account": call(func(s *scene, ctx context.Context) (*pb.CreateTokenResponse, error) {
		return s.accounts.CreateToken(ctx, &pb.CreateTokenRequest{Token: &pb.Token{Account: s.target.account, Title: "another"}})
	}),
	"AccountService/ListTokens account": call(func(s *scene, ctx context.Context) (*pb.ListTokensResponse, error) {
		return s.accounts.ListTokens(ctx, &pb.ListTokensRequest{Account: s.target.account})
	}),
	"AccountService/RevokeToken token": call(func(s *scene, ctx context.Context) (*pb.RevokeTokenResponse, error) {
		return s.accounts.RevokeToken(ctx, &pb.RevokeTokenRequest{Name: s.token})
	}),
	"AccountService/CreateDelegation shop": call(func(s *scene, ctx context.Context) (*pb.CreateDelegationResponse, error) {
		return s.accounts.CreateDelegation(ctx, &pb.CreateDelegationRequest{
			Delegation: &pb.Delegation{Shop: s.shop.GetName(), Account: s.target.account, Note: "speaks for me"},
		})
	}),
	"AccountService/ListDelegations shop": call(func(s *scene, ctx context.Context) (*pb.ListDelegationsResponse, error) {
		return s.accounts.ListDelegations(ctx, &pb.ListDelegationsRequest{Shop: s.shop.GetName()})
	}),
	"AccountService/RevokeDelegation delegation": call(func(s *scene, ctx context.Context) (*pb.RevokeDelegationResponse, error) {
		return s.accounts.RevokeDelegation(ctx, &pb.RevokeDelegationRequest{Name: s.given.GetName()})
	}),
	"AccountService/HandOver shop": call(func(s *scene, ctx context.Context) (*pb.HandOverResponse, error) {
		return s.accounts.HandOver(ctx, &pb.HandOverRequest{Name: s.shop.GetName(), Account: s.target.account})
	}),
	"AccountService/ListAuditEntries any": call(func(s *scene, ctx context.Context) (*pb.ListAuditEntriesResponse, error) {
		return s.accounts.ListAuditEntries(ctx, &pb.ListAuditEntriesRequest{})
	}),
	"AccountService/HandOver wanted-list": call(func(s *scene, ctx context.Context) (*pb.HandOverResponse, error) {
		return s.accounts.HandOver(ctx, &pb.HandOverRequest{Name: s.list, Account: s.target.account})
	}),
}

// agree holds a list of all against that of one parent.
func agree(list func(parent string) (bool, error), parent string) (bool, error) {
	all, err := list("")
	of, err2 := list(parent)
	if err := errors.Join(err, err2); err != nil {
		return false, err2 // one of the two, with its code
	}
	if all != of {
		return false, fmt.Errorf("among all: %v; under its parent: %v", all, of)
	}
	return all, nil
}

// streamed tells whether a stream has the scene's alert in what is sent at once.
func (s *scene) streamed(ctx context.Context, list string) (bool, error) {
	ctx, cancel := context.WithTimeout(ctx, s.patience)
	defer cancel()
	stream, err := s.alerts.StreamAlerts(ctx, &pb.StreamAlertsRequest{WantedList: list})
	if err != nil {
		return false, err
	}
	for {
		event, err := stream.Recv()
		switch {
		case err == io.EOF, status.Code(err) == codes.DeadlineExceeded:
			return false, nil
		case err != nil:
			return false, err
		case event.GetAlert().GetName() == s.alert.GetName():
			return true, nil
		}
	}
}

func everyState() (all []pb.LotState) {
	for n := range pb.LotState_name {
		if n != 0 {
			all = append(all, pb.LotState(n))
		}
	}
	return all
}
