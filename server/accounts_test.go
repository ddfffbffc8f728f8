package server_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
	"heirpress/server/access"
)

func TestPeopleComeByInvitation(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	open := func(invitation string) (*pb.CreateAccountResponse, error) {
		return w.accounts.CreateAccount(somebody{}.as(t), &pb.CreateAccountRequest{
			Account:    &pb.Account{DisplayName: "  Ann Archer ", About: "I print posters", Operator: true, State: pb.AccountState_ACCOUNT_STATE_ACTIVE},
			Invitation: invitation,
		})
	}
	_, err := open("")
	refused(t, err, codes.FailedPrecondition, server.ReasonInvitation)
	_, err = open("heirpress-invitation_none")
	if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["invitation"] == "" {
		t.Errorf("named %v", fields)
	}
	invited, err := w.accounts.CreateInvitation(w.operator.as(t), &pb.CreateInvitationRequest{Note: "Ann"})
	if err != nil {
		t.Fatal(err)
	}
	got, err := open(invited.GetInvitation())
	if err != nil {
		t.Fatal(err)
	}
	a := got.GetAccount()
	if a.GetState() != pb.AccountState_ACCOUNT_STATE_ACTIVE || a.GetOperator() || a.GetDisplayName() != "Ann Archer" || !strings.HasPrefix(a.GetName(), "accounts/ann-archer-") {
		t.Errorf("opened %v", a)
	}
	if _, err := open(invited.GetInvitation()); codeOf(err) != codes.InvalidArgument {
		t.Errorf("an invitation is good twice: %v", err)
	}
	me, err := w.accounts.GetAccount(somebody{secret: got.GetSecret()}.as(t), &pb.GetAccountRequest{Name: "accounts/me"})
	if err != nil || me.GetAccount().GetName() != a.GetName() || me.GetAccount().GetEtag() == "" {
		t.Errorf("got %v, %v", me, err)
	}
}

func TestPeopleWaitForApproval(t *testing.T) {
	w := openAccounts(t, server.ByApproval)
	ben := w.join(t, "")
	post := func() error {
		_, err := w.shops.CreateShop(ben.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: w.name("Shop"), Place: "Dayton, OH"}})
		return err
	}
	refused(t, post(), codes.PermissionDenied, server.ReasonDenied)
	waiting, err := w.accounts.ListAccounts(w.operator.as(t), &pb.ListAccountsRequest{PendingOnly: true})
	if err != nil || len(waiting.GetAccounts()) != 1 || waiting.GetAccounts()[0].GetName() != ben.account {
		t.Fatalf("waiting: %v, %v", waiting, err)
	}
	approve := func() (*pb.ApproveAccountResponse, error) {
		return w.accounts.ApproveAccount(w.operator.as(t), &pb.ApproveAccountRequest{Name: ben.account})
	}
	first, err := approve()
	if err != nil {
		t.Fatal(err)
	}
	if again, err := approve(); err != nil || again.GetChange() != first.GetChange() {
		t.Errorf("approved again: %v, %v", again, err)
	}
	if err := post(); err != nil {
		t.Errorf("after approval: %v", err)
	}
	if _, err := w.accounts.SuspendAccount(w.operator.as(t), &pb.SuspendAccountRequest{Name: ben.account}); err != nil {
		t.Fatal(err)
	}
	refused(t, post(), codes.Unauthenticated, server.ReasonTokenRefused)
	_, err = w.accounts.SuspendAccount(w.operator.as(t), &pb.SuspendAccountRequest{Name: w.operator.account})
	refused(t, err, codes.FailedPrecondition, server.ReasonLastOperator)
	_, err = w.accounts.ApproveAccount(w.operator.as(t), &pb.ApproveAccountRequest{Name: "accounts/none"})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
}

func TestWithoutAccountsThereAreNone(t *testing.T) {
	r := open(t)
	accounts := pb.NewAccountServiceClient(r.conn)
	for method, call := range accountCalls(accounts) {
		refused(t, call(t.Context()), codes.FailedPrecondition, server.ReasonAccountsOff)
		if t.Failed() {
			t.Fatal(method)
		}
	}
	// A token is then for nothing, and does no harm.
	ctx := metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer nonsense")
	if _, err := r.shops.ListShops(ctx, &pb.ListShopsRequest{}); err != nil {
		t.Error(err)
	}
}

func accountCalls(c pb.AccountServiceClient) map[string]func(context.Context) error {
	return map[string]func(context.Context) error{
		"CreateInvitation": func(ctx context.Context) error {
			_, err := c.CreateInvitation(ctx, &pb.CreateInvitationRequest{})
			return err
		},
		"CreateAccount": func(ctx context.Context) error {
			_, err := c.CreateAccount(ctx, &pb.CreateAccountRequest{})
			return err
		},
		"GetAccount":   func(ctx context.Context) error { _, err := c.GetAccount(ctx, &pb.GetAccountRequest{}); return err },
		"ListAccounts": func(ctx context.Context) error { _, err := c.ListAccounts(ctx, &pb.ListAccountsRequest{}); return err },
		"ApproveAccount": func(ctx context.Context) error {
			_, err := c.ApproveAccount(ctx, &pb.ApproveAccountRequest{})
			return err
		},
		"SuspendAccount": func(ctx context.Context) error {
			_, err := c.SuspendAccount(ctx, &pb.SuspendAccountRequest{})
			return err
		},
		"CreateToken": func(ctx context.Context) error { _, err := c.CreateToken(ctx, &pb.CreateTokenRequest{}); return err },
		"ListTokens":  func(ctx context.Context) error { _, err := c.ListTokens(ctx, &pb.ListTokensRequest{}); return err },
		"RevokeToken": func(ctx context.Context) error { _, err := c.RevokeToken(ctx, &pb.RevokeTokenRequest{}); return err },
		"CreateDelegation": func(ctx context.Context) error {
			_, err := c.CreateDelegation(ctx, &pb.CreateDelegationRequest{})
			return err
		},
		"ListDelegations": func(ctx context.Context) error {
			_, err := c.ListDelegations(ctx, &pb.ListDelegationsRequest{})
			return err
		},
		"RevokeDelegation": func(ctx context.Context) error {
			_, err := c.RevokeDelegation(ctx, &pb.RevokeDelegationRequest{})
			return err
		},
		"ListAuditEntries": func(ctx context.Context) error {
			_, err := c.ListAuditEntries(ctx, &pb.ListAuditEntriesRequest{})
			return err
		},
		"HandOver": func(ctx context.Context) error { _, err := c.HandOver(ctx, &pb.HandOverRequest{}); return err },
	}
}

// What is wrong with a request of accounts is named.
func TestWrongAccountRequests(t *testing.T) {
	w := openAccounts(t, server.ByApproval)
	ann := w.invite(t)
	shop := w.shopOf(t, ann).GetName()
	ctx := ann.as(t)
	soon := func(d time.Duration) *timestamppb.Timestamp { return timestamppb.New(time.Now().Add(d)) }
	delegate := func(d *pb.Delegation) error {
		_, err := w.accounts.CreateDelegation(ctx, &pb.CreateDelegationRequest{Delegation: d})
		return err
	}
	token := func(token *pb.Token) error {
		_, err := w.accounts.CreateToken(ctx, &pb.CreateTokenRequest{Token: token})
		return err
	}
	account := func(a *pb.Account, title string) error {
		_, err := w.accounts.CreateAccount(ctx, &pb.CreateAccountRequest{Account: a, TokenTitle: title})
		return err
	}
	invite := func(req *pb.CreateInvitationRequest) error {
		_, err := w.accounts.CreateInvitation(w.operator.as(t), req)
		return err
	}
	long := strings.Repeat("x", 6000)
	for name, c := range map[string]struct {
		err   error
		field string
	}{
		"no account":                {account(nil, ""), "account"},
		"no name":                   {account(&pb.Account{DisplayName: " \t"}, ""), "account.display_name"},
		"a long name":               {account(&pb.Account{DisplayName: long}, ""), "account.display_name"},
		"a long story":              {account(&pb.Account{DisplayName: "Ann", About: long}, ""), "account.about"},
		"a long title":              {account(&pb.Account{DisplayName: "Ann"}, long), "token_title"},
		"a long note":               {invite(&pb.CreateInvitationRequest{Note: long}), "note"},
		"an invitation of the past": {invite(&pb.CreateInvitationRequest{ExpireTime: soon(-time.Second)}), "expire_time"},
		"an invitation for ages":    {invite(&pb.CreateInvitationRequest{ExpireTime: soon(400 * 24 * time.Hour)}), "expire_time"},
		"no time":                   {invite(&pb.CreateInvitationRequest{ExpireTime: &timestamppb.Timestamp{Nanos: -1}}), "expire_time"},
		"no token":                  {token(nil), "token"},
		"a token without title":     {token(&pb.Token{}), "token.title"},
		"a scope there is none of":  {token(&pb.Token{Title: "a", Scopes: []pb.TokenScope{99}}), "token.scopes"},
		"a scope not said":          {token(&pb.Token{Title: "a", Scopes: []pb.TokenScope{0}}), "token.scopes"},
		"longer than its maker":     {token(&pb.Token{Title: "a", ExpireTime: soon(2 * access.UsualLife)}), "token.expire_time"},
		"no delegation":             {delegate(nil), "delegation"},
		"nothing in writing":        {delegate(&pb.Delegation{Shop: shop, Account: w.operator.account, Note: " "}), "delegation.note"},
		"to nobody":                 {delegate(&pb.Delegation{Shop: shop, Account: "accounts/none", Note: "n"}), "delegation.account"},
		"to a shop":                 {delegate(&pb.Delegation{Shop: shop, Account: shop, Note: "n"}), "delegation.account"},
		"to one not let in":         {delegate(&pb.Delegation{Shop: shop, Account: w.join(t, "").account, Note: "n"}), "delegation.account"},
	} {
		if fields := refused(t, c.err, codes.InvalidArgument, server.ReasonInvalid); fields[c.field] == "" {
			t.Errorf("%s: named %v, want %s", name, fields, c.field)
		}
	}
	refused(t, delegate(&pb.Delegation{Shop: shop, Account: ann.account, Note: "n"}), codes.AlreadyExists, server.ReasonExists)
	_, err := w.accounts.HandOver(ctx, &pb.HandOverRequest{Name: shop, Account: "accounts/none"})
	if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["account"] == "" {
		t.Errorf("named %v", fields)
	}
	for _, name := range []string{"", "shops/none", "wantedLists/none", "accounts/none", ann.account} {
		_, err := w.accounts.HandOver(ctx, &pb.HandOverRequest{Name: name, Account: ann.account})
		refused(t, err, codes.NotFound, server.ReasonNotFound)
	}
}

func TestATokenIsGoodForItsScopes(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann := w.invite(t)
	narrow := func(by somebody, scopes ...pb.TokenScope) (somebody, error) {
		got, err := w.accounts.CreateToken(by.as(t), &pb.CreateTokenRequest{Token: &pb.Token{Title: "narrow", Scopes: scopes}})
		return somebody{account: ann.account, token: got.GetToken().GetName(), secret: got.GetSecret()}, err
	}
	seek, err := narrow(ann, pb.TokenScope_TOKEN_SCOPE_SEEK, pb.TokenScope_TOKEN_SCOPE_READ, pb.TokenScope_TOKEN_SCOPE_READ)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.wants.CreateWantedList(seek.as(t), &pb.CreateWantedListRequest{WantedList: wanting("A list", "platen")}); err != nil {
		t.Errorf("seeking: %v", err)
	}
	if _, err := w.shops.ListShops(seek.as(t), &pb.ListShopsRequest{}); err != nil {
		t.Errorf("reading: %v", err)
	}
	_, err = w.shops.CreateShop(seek.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "A shop", Place: "Dayton, OH"}})
	refused(t, err, codes.PermissionDenied, server.ReasonScope)
	_, err = narrow(seek, pb.TokenScope_TOKEN_SCOPE_SEEK)
	refused(t, err, codes.PermissionDenied, server.ReasonScope)

	manage, err := narrow(ann, pb.TokenScope_TOKEN_SCOPE_MANAGE)
	if err != nil {
		t.Fatal(err)
	}
	_, err = narrow(manage, pb.TokenScope_TOKEN_SCOPE_KEEP)
	refused(t, err, codes.InvalidArgument, server.ReasonInvalid)
	all, err := narrow(manage) // no more than itself
	if err != nil {
		t.Fatal(err)
	}
	_, err = w.shops.ListShops(all.as(t), &pb.ListShopsRequest{})
	refused(t, err, codes.PermissionDenied, server.ReasonScope)

	listed, err := w.accounts.ListTokens(manage.as(t), &pb.ListTokensRequest{})
	if err != nil || len(listed.GetTokens()) != 4 {
		t.Fatalf("listed %v, %v", listed, err)
	}
	if got := listed.GetTokens()[1]; len(got.GetScopes()) != 2 || got.GetName() != seek.token {
		t.Errorf("the second is %v", got)
	}
	if _, err := w.accounts.RevokeToken(manage.as(t), &pb.RevokeTokenRequest{Name: manage.token}); err != nil {
		t.Error(err)
	}
	_, err = w.accounts.ListTokens(manage.as(t), &pb.ListTokensRequest{})
	refused(t, err, codes.Unauthenticated, server.ReasonTokenRefused)
}

func TestATokenExpires(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann := w.invite(t)
	got, err := w.accounts.CreateToken(ann.as(t), &pb.CreateTokenRequest{
		Token: &pb.Token{Title: "brief", ExpireTime: timestamppb.New(time.Now().Add(300 * time.Millisecond))},
	})
	if err != nil {
		t.Fatal(err)
	}
	brief := somebody{secret: got.GetSecret()}
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if _, err = w.shops.ListShops(brief.as(t), &pb.ListShopsRequest{}); err != nil {
			break
		}
	}
	refused(t, err, codes.Unauthenticated, server.ReasonTokenRefused)
	if !strings.Contains(err.Error(), "has expired") {
		t.Error(err)
	}
}

// An open stream ends when its token does.
func TestAStreamEndsWithItsToken(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann := w.invite(t)
	stream, err := w.alerts.StreamAlerts(ann.as(t), &pb.StreamAlertsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Header(); err != nil {
		t.Fatal(err)
	}
	if _, err := w.accounts.RevokeToken(ann.as(t), &pb.RevokeTokenRequest{Name: ann.token}); err != nil {
		t.Fatal(err)
	}
	_, err = stream.Recv()
	refused(t, err, codes.Unauthenticated, server.ReasonTokenRefused)
}

// Who shows wrong secrets is held back, and told until when.
func TestGuessersAreHeldBack(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann := w.invite(t)
	guess := func() error {
		_, err := w.shops.ListShops(somebody{secret: "heirpress_wrong"}.as(t), &pb.ListShopsRequest{})
		return err
	}
	for i := range 10 {
		if err := guess(); codeOf(err) != codes.Unauthenticated {
			t.Fatalf("guess %d: %v", i, err)
		}
	}
	err := guess()
	refused(t, err, codes.ResourceExhausted, server.ReasonTooManyGuesses)
	if !hasRetry(err) {
		t.Errorf("%v does not say when to try again", err)
	}
	_, err = w.shops.ListShops(ann.as(t), &pb.ListShopsRequest{})
	refused(t, err, codes.ResourceExhausted, server.ReasonTooManyGuesses)
	_, err = w.accounts.CreateAccount(somebody{}.as(t), &pb.CreateAccountRequest{Account: &pb.Account{DisplayName: "Eve"}, Invitation: "guessed"})
	refused(t, err, codes.ResourceExhausted, server.ReasonTooManyGuesses)
	if _, err := w.shops.ListShops(somebody{}.as(t), &pb.ListShopsRequest{}); err != nil {
		t.Errorf("without a token: %v", err)
	}
}

func TestHowATokenIsShown(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann := w.invite(t)
	for name, shown := range map[string][]string{
		"two": {"Bearer " + ann.secret, "Bearer " + ann.secret}, "another scheme": {"Basic " + ann.secret}, "bare": {ann.secret}, "empty": {""},
	} {
		ctx := metadata.NewOutgoingContext(t.Context(), metadata.MD{"authorization": shown})
		_, err := w.shops.ListShops(ctx, &pb.ListShopsRequest{})
		refused(t, err, codes.Unauthenticated, server.ReasonTokenRefused)
		if strings.Contains(fmt.Sprint(err, status.Convert(err).Details()), ann.secret) {
			t.Errorf("%s: the error has the secret: %v", name, err)
		}
	}
}

// Titles are their owner's: nobody learns of another's by its title.
func TestTitlesAreTheirOwners(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann, ben := w.invite(t), w.invite(t)
	for _, one := range []somebody{ann, ben} {
		shop := &pb.CreateShopRequest{Shop: &pb.Shop{Title: "The cellar", Place: "Dayton, OH"}}
		made, err := w.shops.CreateShop(one.as(t), shop)
		if err != nil {
			t.Fatal(err)
		}
		_, err = w.shops.CreateShop(one.as(t), shop)
		refused(t, err, codes.AlreadyExists, server.ReasonExists)
		found, err := w.shops.ListShops(one.as(t), &pb.ListShopsRequest{Title: "the  Cellar"})
		if err != nil || len(found.GetShops()) != 1 || found.GetShops()[0].GetName() != made.GetShop().GetName() {
			t.Errorf("found %v, %v", found, err)
		}
		list := &pb.CreateWantedListRequest{WantedList: wanting("Posters", "platen")}
		if _, err := w.wants.CreateWantedList(one.as(t), list); err != nil {
			t.Fatal(err)
		}
		_, err = w.wants.CreateWantedList(one.as(t), list)
		refused(t, err, codes.AlreadyExists, server.ReasonExists)
		lists, err := w.wants.ListWantedLists(one.as(t), &pb.ListWantedListsRequest{Title: "posters"})
		if err != nil || len(lists.GetWantedLists()) != 1 {
			t.Errorf("found %v, %v", lists, err)
		}
	}
	cy := w.invite(t)
	for by, want := range map[somebody]int{ann: 1, ben: 1, cy: 0, {}: 0} {
		own, err := w.shops.ListShops(by.as(t), &pb.ListShopsRequest{Title: "the cellar", OwnOnly: true})
		if err != nil || len(own.GetShops()) != want {
			t.Errorf("their own: %v, %v, want %d", own, err, want)
		}
	}
	all, err := w.wants.ListWantedLists(w.operator.as(t), &pb.ListWantedListsRequest{Title: "posters"})
	if err != nil || len(all.GetWantedLists()) != 2 {
		t.Errorf("the operator finds %v, %v", all, err)
	}
}

// What is handed over is its new owner's, and nothing else of the old one's.
func TestHandingOver(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann, ben := w.invite(t), w.invite(t)
	list, _ := w.listOf(t, ann, &pb.LotFilter{Words: "platen"})
	if _, err := w.deliveries.SetDelivery(ann.as(t), &pb.SetDeliveryRequest{Delivery: &pb.Delivery{Name: list + "/delivery", Email: "ann@example.org"}}); err != nil {
		t.Fatal(err)
	}
	shop := w.shopOf(t, ann)
	hand := func(by somebody, name string, to somebody) error {
		_, err := w.accounts.HandOver(by.as(t), &pb.HandOverRequest{Name: name, Account: to.account})
		return err
	}
	for _, name := range []string{list, shop.GetName()} {
		if err := hand(ann, name, ben); err != nil {
			t.Fatal(err)
		}
		refused(t, hand(ann, name, ann), codes.NotFound, server.ReasonNotFound)
	}
	got, err := w.deliveries.GetDelivery(ben.as(t), &pb.GetDeliveryRequest{Name: list + "/delivery"})
	if err != nil || got.GetDelivery().GetEmail() != "" {
		t.Errorf("the new seeker is told %v, %v", got, err)
	}
	// A title that the new owner has used stands in the way.
	other, err := w.shops.CreateShop(ann.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: shop.GetTitle(), Place: "Dayton, OH"}})
	if err != nil {
		t.Fatal(err)
	}
	refused(t, hand(ann, other.GetShop().GetName(), ben), codes.AlreadyExists, server.ReasonExists)
	if _, err := w.shops.GetShop(ann.as(t), &pb.GetShopRequest{Name: other.GetShop().GetName()}); err != nil {
		t.Errorf("what could not be handed over: %v", err)
	}
}

// Tokens of pages and streams, and answers to a request_id, are their caller's.
func TestWhatIsTheCallersOwn(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann, ben := w.invite(t), w.invite(t)
	for range 2 {
		w.lotIn(t, ann, w.shopOf(t, ann).GetName(), pb.LotState_LOT_STATE_OFFERED)
	}
	page := func(by somebody, token string) (*pb.ListShopsResponse, error) {
		return w.shops.ListShops(by.as(t), &pb.ListShopsRequest{PageSize: 1, PageToken: token})
	}
	first, err := page(ann, "")
	if err != nil || first.GetNextPageToken() == "" {
		t.Fatal(first, err)
	}
	if second, err := page(ann, first.GetNextPageToken()); err != nil || len(second.GetShops()) != 1 {
		t.Errorf("their own: %v, %v", second, err)
	}
	for _, by := range []somebody{ben, w.operator, {}} {
		_, err := page(by, first.GetNextPageToken())
		refused(t, err, codes.InvalidArgument, server.ReasonPageToken)
	}
	create := func(by somebody) *pb.CreateShopResponse {
		made, err := w.shops.CreateShop(by.as(t), &pb.CreateShopRequest{Shop: &pb.Shop{Title: "One", Place: "Dayton, OH"}, RequestId: "same"})
		if err != nil {
			t.Fatal(err)
		}
		return made
	}
	one := create(ann)
	if create(ann).GetChange() != one.GetChange() {
		t.Error("a repeat is answered with another")
	}
	if create(ben).GetShop().GetName() == one.GetShop().GetName() {
		t.Error("another's answer is given for the same request_id")
	}
}

// What is not for everybody is in no search, and neither counted nor suggested.
func TestDraftsAreNotSearched(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann := w.invite(t)
	shop := w.shopOf(t, ann)
	secret := platen("p1")
	secret.Title, secret.State = "Xanthippe quoinery", pb.LotState_LOT_STATE_DRAFT
	made, err := w.lots.CreateLot(ann.as(t), &pb.CreateLotRequest{Parent: shop.GetName(), Lot: secret})
	if err != nil {
		t.Fatal(err)
	}
	find := func(words string, change uint64) *pb.SearchLotsResponse {
		got, err := w.search.SearchLots(ann.as(t), &pb.SearchLotsRequest{
			Filter: &pb.LotFilter{Words: words, States: everyState()}, Suggest: true, Facets: true, AtLeastChange: change,
		})
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	got := find("xantippe", made.GetChange())
	if got.GetTotalSize() != 0 || strings.Contains(strings.ToLower(got.String()), "xanthippe") {
		t.Errorf("a draft shows in %v", got)
	}
	offer := func(state pb.LotState) uint64 {
		moved, err := w.lots.UpdateLot(ann.as(t), &pb.UpdateLotRequest{Lot: &pb.Lot{Name: made.GetLot().GetName(), State: state}, UpdateMask: maskOf("state")})
		if err != nil {
			t.Fatal(err)
		}
		return moved.GetChange()
	}
	offer(pb.LotState_LOT_STATE_PROOFED)
	if got := find("xanthippe", offer(pb.LotState_LOT_STATE_OFFERED)); got.GetTotalSize() != 1 {
		t.Errorf("an offered lot: %v", got)
	}
	if count := shopCount(t, w, somebody{}, shop.GetName()); count != 1 {
		t.Errorf("a stranger counts %d lots", count)
	}
	if got := find("xanthippe", offer(pb.LotState_LOT_STATE_WITHDRAWN)); got.GetTotalSize() != 0 || len(got.GetHits()) != 0 {
		t.Errorf("a withdrawn lot: %v", got)
	}
	w.lotIn(t, ann, shop.GetName(), pb.LotState_LOT_STATE_OFFERED)
	if all, some := shopCount(t, w, ann, shop.GetName()), shopCount(t, w, somebody{}, shop.GetName()); all != 2 || some > 1 {
		t.Errorf("the keeper counts %d lots, a stranger %d", all, some)
	}
	wanted := wanting("Drafts", "platen")
	wanted.Wants[0].Filter.States = []pb.LotState{pb.LotState_LOT_STATE_DRAFT}
	_, err = w.wants.CreateWantedList(ann.as(t), &pb.CreateWantedListRequest{WantedList: wanted})
	if fields := refused(t, err, codes.InvalidArgument, server.ReasonInvalid); fields["wanted_list.wants[0].filter.states"] == "" {
		t.Errorf("named %v", fields)
	}
}

func shopCount(t *testing.T, w *world, by somebody, shop string) int32 {
	t.Helper()
	got, err := w.shops.GetShop(by.as(t), &pb.GetShopRequest{Name: shop})
	if err != nil {
		t.Fatal(err)
	}
	return got.GetShop().GetLotCount()
}

// A go-between has what they were given, for as long as they were given it.
func TestDelegationsOverTheWire(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann, ines := w.invite(t), w.invite(t)
	shop, other := w.shopOf(t, ann), w.shopOf(t, ann)
	given := w.delegate(t, ann, ines, shop.GetName())
	mine := func(by somebody) []string {
		got, err := w.accounts.ListDelegations(by.as(t), &pb.ListDelegationsRequest{})
		if err != nil {
			t.Fatal(err)
		}
		return namesOf(got.GetDelegations())
	}
	if got := mine(ines); !slices.Equal(got, []string{given.GetName()}) {
		t.Errorf("hers are %v", got)
	}
	if got := mine(ann); got != nil {
		t.Errorf("the keeper's own are %v", got)
	}
	_, err := w.lots.CreateLot(ines.as(t), &pb.CreateLotRequest{Parent: other.GetName(), Lot: platen("p1")})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	for range 2 {
		if _, err := w.accounts.RevokeDelegation(ines.as(t), &pb.RevokeDelegationRequest{Name: given.GetName()}); err != nil {
			break
		}
	}
	_, err = w.lots.CreateLot(ines.as(t), &pb.CreateLotRequest{Parent: shop.GetName(), Lot: platen("p1")})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	kept, err := w.accounts.ListDelegations(ann.as(t), &pb.ListDelegationsRequest{Shop: shop.GetName()})
	if err != nil || len(kept.GetDelegations()) != 1 {
		t.Fatal(kept, err)
	}
	if d := kept.GetDelegations()[0]; d.GetNote() != "speaks for me" || d.GetRevokeAccount() != ines.account || d.GetCreateAccount() != ann.account {
		t.Errorf("recorded %v", d)
	}
}

// A registry that has accounts is not served as if it had none.
func TestARegistryWithAccountsIsNotServedWithout(t *testing.T) {
	dir := t.TempDir()
	newOperator(t, dir)
	r, err := server.Open(t.Context(), server.Config{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	err = server.Serve(t.Context(), r, server.ServeConfig{Listen: "127.0.0.1:0"})
	if err == nil || !strings.Contains(err.Error(), "this registry has accounts") {
		t.Errorf("got %v", err)
	}
}

// Accounts that wait for approval cannot be opened without end.
func TestWhoOpensTooManyAccounts(t *testing.T) {
	w := openAccounts(t, server.ByApproval)
	for range 10 {
		w.join(t, "")
	}
	_, err := w.accounts.CreateAccount(somebody{}.as(t), &pb.CreateAccountRequest{Account: &pb.Account{DisplayName: "Eve"}})
	refused(t, err, codes.ResourceExhausted, server.ReasonTooManyCalls)
	w.invite(t) // who is invited comes in
}

// A hidden thing is answered for, to the letter, as one that is not there.
func TestHiddenIsAsIfItWereNotThere(t *testing.T) {
	w := openAccounts(t, server.ByInvitation)
	ann, eve := w.invite(t), w.invite(t)
	shop := w.shopOf(t, ann).GetName()
	draft, _ := w.lotIn(t, ann, shop, pb.LotState_LOT_STATE_DRAFT)
	list, _ := w.listOf(t, ann, &pb.LotFilter{Words: "platen"})
	for name, ask := range map[string]func(string) error{
		shop: func(n string) error { _, err := w.shops.GetShop(eve.as(t), &pb.GetShopRequest{Name: n}); return err },
		shop + " lots": func(n string) error {
			_, err := w.lots.ListLots(eve.as(t), &pb.ListLotsRequest{Parent: strings.TrimSuffix(n, " lots")})
			return err
		},
		draft.GetName(): func(n string) error {
			_, err := w.lots.UpdateLot(eve.as(t), &pb.UpdateLotRequest{Lot: &pb.Lot{Name: n, Etag: "x"}, UpdateMask: maskOf("nonsense")})
			return err
		},
		list: func(n string) error {
			_, err := w.wants.DeleteWantedList(eve.as(t), &pb.DeleteWantedListRequest{Name: n, Etag: "x"})
			return err
		},
		ann.account: func(n string) error {
			_, err := w.accounts.GetAccount(eve.as(t), &pb.GetAccountRequest{Name: n})
			return err
		},
		ann.token: func(n string) error {
			_, err := w.accounts.RevokeToken(eve.as(t), &pb.RevokeTokenRequest{Name: n})
			return err
		},
	} {
		there, absent := ask(name), ask(name[:len(name)-1]+"-none")
		if name == shop+" lots" {
			absent = ask(shop + "-none lots")
		}
		one := strings.TrimSuffix(name, " lots")
		plain := func(err error, name string) string {
			details := slices.DeleteFunc(status.Convert(err).Details(), func(d any) bool { _, own := d.(*errdetails.RequestInfo); return own })
			return strings.ReplaceAll(fmt.Sprint(status.Code(err), err, details), name, "NAME")
		}
		other := one[:len(one)-1] + "-none"
		if name != one {
			other = one + "-none"
		}
		if plain(there, one) != plain(absent, other) {
			t.Errorf("%s is there: %v\nis not: %v", name, there, absent)
		}
	}
}

func TestWhereAServerWithAccountsMayListen(t *testing.T) {
	for _, c := range []struct {
		says     string
		accounts server.Accounts
		config   server.ServeConfig
	}{
		{"tokens would go there in the clear", server.ByInvitation, server.ServeConfig{Listen: "0.0.0.0:7427", Plaintext: true}},
		{"there is no TLS certificate", server.ByApproval, server.ServeConfig{Listen: ":7427"}},
		{"certificates of clients need TLS", server.ByApproval, server.ServeConfig{Listen: "127.0.0.1:7427", ClientCAFile: "ca.pem"}},
		{"", server.ByApproval, server.ServeConfig{Listen: "127.0.0.1:7427"}},
		{"", server.NoAccounts, server.ServeConfig{Listen: "[::1]:7427"}},
	} {
		err := c.config.Check(c.accounts)
		if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%+v: got %v, want something about %q", c.config, err, c.says)
		}
	}
}
