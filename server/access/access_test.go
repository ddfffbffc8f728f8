package access

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
	"heirpress/server/store/memory"
)

// write runs a transaction that must do.
func write(t *testing.T, s store.Store, do func(store.Tx) error) {
	t.Helper()
	if err := s.Write(t.Context(), do); err != nil {
		t.Fatal(err)
	}
}

// account opens an account and gives a token of it.
func account(t *testing.T, s store.Store, name string, state pb.AccountState, operator bool) (*pb.Account, *pb.Token, string) {
	t.Helper()
	var a *pb.Account
	var token *pb.Token
	var text string
	write(t, s, func(tx store.Tx) (err error) {
		if a, err = NewAccount(t.Context(), tx, &pb.Account{DisplayName: name, State: state, Operator: operator}); err != nil {
			return err
		}
		token, text, err = NewToken(t.Context(), tx, &pb.Token{
			Account: a.GetName(), Title: "first", ExpireTime: timestamppb.New(tx.Now().Add(time.Hour)),
		})
		return err
	})
	return a, token, text
}

func TestASecretHasOneSpelling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSecret()
		text := s.text(tokenMark)
		again, ok := readSecret(tokenMark, text)
		if !ok || again.id != s.id || !again.is(s.hash()) {
			t.Fatalf("%q reads as %v, %v", text, again, ok)
		}
		at := rapid.IntRange(0, len(text)-1).Draw(t, "at")
		other := text[:at] + rapid.StringMatching(`[0-9A-Za-z_ -]`).Draw(t, "letter") + text[at+1:]
		if got, ok := readSecret(tokenMark, other); other != text && ok && got.id == s.id && got.is(s.hash()) {
			t.Fatalf("%q is as good as %q", other, text)
		}
		if _, ok := readSecret(invitationMark, text); ok {
			t.Fatal("a token is taken for an invitation")
		}
	})
}

// Two secrets differ in every part, and none of the bits is in what is kept.
func TestSecretsAreOfChance(t *testing.T) {
	seen := map[string]bool{}
	for range 1000 {
		s := newSecret()
		if seen[s.id] || seen[string(s.bits)] {
			t.Fatal("a secret twice")
		}
		seen[s.id], seen[string(s.bits)] = true, true
	}
	s := memory.New()
	_, _, text := account(t, s, "Ann", pb.AccountState_ACCOUNT_STATE_ACTIVE, false)
	changes, err := s.Changes(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	_, bits, _ := strings.Cut(strings.TrimPrefix(text, tokenMark), "_")
	raw, _ := secretText.DecodeString(bits)
	for _, c := range changes {
		if strings.Contains(string(c.Record.Body), bits) || strings.Contains(string(c.Record.Body), string(raw)) {
			t.Errorf("the secret is kept in %s", c.Record.Name)
		}
	}
}

func TestWhoATokenLetsIn(t *testing.T) {
	s := memory.New()
	_, token, text := account(t, s, "Ann Archer", pb.AccountState_ACCOUNT_STATE_ACTIVE, true)
	_, _, pending := account(t, s, "Ben", pb.AccountState_ACCOUNT_STATE_PENDING, true)
	now := time.Now()
	known := func(text string, at time.Time) (Caller, error) { return Known(t.Context(), s, text, at) }

	c, err := known(text, now)
	if err != nil || c.Account != token.GetAccount() || !c.Operator || c.Pending || c.Token != token.GetName() || c.Anonymous() {
		t.Errorf("got %+v, %v", c, err)
	}
	if c, err := known(pending, now); err != nil || !c.Pending || c.Operator {
		t.Errorf("a pending operator is %+v, %v", c, err)
	}
	refused := func(what, text string, at time.Time, guessed bool) {
		t.Helper()
		_, err := known(text, at)
		var r *RefusedError
		if !errors.As(err, &r) || r.Guessed != guessed || strings.Contains(err.Error(), "heirpress_") {
			t.Errorf("%s: %v", what, err)
		}
	}
	refused("nothing", "", now, true)
	refused("another's secret under this id", text[:len(tokenMark)+idLength+1]+pending[len(tokenMark)+idLength+1:], now, true)
	refused("an id there is not", newSecret().text(tokenMark), now, true)
	refused("a password", "correct horse", now, true)
	refused("an expired one", text, now.Add(2*time.Hour), false)

	write(t, s, func(tx store.Tx) error {
		kept, err := TokenNamed(t.Context(), tx, token.GetName())
		if err != nil {
			return err
		}
		first, err := Revoke(t.Context(), tx, kept)
		if err != nil {
			return err
		}
		if again, err := Revoke(t.Context(), tx, kept); again != first || err != nil {
			t.Errorf("revoked again at %d, not %d, %v", again, first, err)
		}
		return nil
	})
	refused("a revoked one", text, now, false)
	if _, err := TokenNamed(t.Context(), s, token.GetAccount()); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("an account read as a token: %v", err)
	}
}

func TestASuspendedAccountIsShutOut(t *testing.T) {
	s := memory.New()
	first, _, text := account(t, s, "Ann", pb.AccountState_ACCOUNT_STATE_ACTIVE, true)
	let := func(name string, state pb.AccountState) error {
		return s.Write(t.Context(), func(tx store.Tx) error {
			_, err := Let(t.Context(), tx, name, state)
			return err
		})
	}
	if err := let(first.GetName(), pb.AccountState_ACCOUNT_STATE_SUSPENDED); !errors.Is(err, ErrLastOperator) {
		t.Errorf("the last operator is shut out: %v", err)
	}
	account(t, s, "Ben", pb.AccountState_ACCOUNT_STATE_SUSPENDED, true)
	account(t, s, "Cy", pb.AccountState_ACCOUNT_STATE_ACTIVE, false)
	if err := let(first.GetName(), pb.AccountState_ACCOUNT_STATE_SUSPENDED); !errors.Is(err, ErrLastOperator) {
		t.Errorf("with no active operator beside: %v", err)
	}
	account(t, s, "Di", pb.AccountState_ACCOUNT_STATE_ACTIVE, true)
	if err := let(first.GetName(), pb.AccountState_ACCOUNT_STATE_SUSPENDED); err != nil {
		t.Fatal(err)
	}
	if _, err := Known(t.Context(), s, text, time.Now()); err == nil || !strings.Contains(err.Error(), "suspended") {
		t.Errorf("a suspended account's token: %v", err)
	}
	if err := let(first.GetName(), pb.AccountState_ACCOUNT_STATE_ACTIVE); err != nil {
		t.Fatal(err)
	}
	if _, err := Known(t.Context(), s, text, time.Now()); err != nil {
		t.Errorf("after it was let in again: %v", err)
	}
	if err := let("accounts/none", pb.AccountState_ACCOUNT_STATE_ACTIVE); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("an account there is not: %v", err)
	}
}

const shop, list = "shops/a", "wantedLists/a"

func TestRelations(t *testing.T) {
	s := memory.New()
	write(t, s, func(tx store.Tx) error {
		ann := Caller{Account: "accounts/ann"}
		if err := Own(t.Context(), tx, ann, shop, pb.Relation_RELATION_KEEPER); err != nil {
			return err
		}
		if err := Own(t.Context(), tx, ann, list, pb.Relation_RELATION_SEEKER); err != nil {
			return err
		}
		if err := Own(t.Context(), tx, Caller{Local: true}, "shops/b", pb.Relation_RELATION_KEEPER); err != nil {
			return err
		}
		_, err := Delegate(t.Context(), tx, &pb.Delegation{Shop: shop, Account: "accounts/ines", Note: "for me"})
		return err
	})
	for _, c := range []struct {
		who                 string
		caller              Caller
		ofShop, ofB, ofList Relation
		ofAnn               Relation
	}{
		{"nobody", Caller{}, Anonymous, Anonymous, Anonymous, Anonymous},
		{"the one", Caller{Local: true}, Keeper, Keeper, Seeker, Self},
		{"Ann", Caller{Account: "accounts/ann"}, Keeper, Stranger, Seeker, Self},
		{"Ann, the operator", Caller{Account: "accounts/ann", Operator: true}, Keeper, Operator, Seeker, Self},
		{"Ann, not let in", Caller{Account: "accounts/ann", Pending: true}, Pending, Pending, Pending, Self},
		{"Ines", Caller{Account: "accounts/ines"}, GoBetween, Stranger, Stranger, Stranger},
		{"Cy", Caller{Account: "accounts/cy"}, Stranger, Stranger, Stranger, Stranger},
		{"the operator", Caller{Account: "accounts/op", Operator: true}, Operator, Operator, Operator, Operator},
	} {
		ofShop, err := OfShop(t.Context(), s, c.caller, shop)
		ofB, errB := OfShop(t.Context(), s, c.caller, "shops/b")
		ofList, errList := OfList(t.Context(), s, c.caller, list)
		if err := errors.Join(err, errB, errList); err != nil {
			t.Fatal(err)
		}
		if ofShop != c.ofShop || ofB != c.ofB || ofList != c.ofList || OfAccount(c.caller, "accounts/ann") != c.ofAnn {
			t.Errorf("%s: %s of the shop, %s of another, %s of the list, %s of Ann", c.who, ofShop, ofB, ofList, OfAccount(c.caller, "accounts/ann"))
		}
	}
	if !From(context.Background()).Anonymous() {
		t.Error("a context without a caller has one")
	}
	if got := From(With(context.Background(), Caller{Account: "accounts/ann"})); got.Account != "accounts/ann" {
		t.Errorf("got %+v", got)
	}
}

func TestDelegations(t *testing.T) {
	s := memory.New()
	ctx := t.Context()
	ines := Caller{Account: "accounts/ines"}
	d := &pb.Delegation{Shop: shop, Account: ines.Account, Note: "for me"}
	delegate := func() error {
		return s.Write(ctx, func(tx store.Tx) error {
			_, err := Delegate(ctx, tx, d)
			return err
		})
	}
	write(t, s, func(tx store.Tx) error {
		return Own(ctx, tx, Caller{Account: "accounts/ann"}, shop, pb.Relation_RELATION_KEEPER)
	})
	if err := delegate(); err != nil {
		t.Fatal(err)
	}
	if err := delegate(); !errors.Is(err, ErrTied) {
		t.Errorf("delegated twice: %v", err)
	}
	end := func() (change uint64) {
		write(t, s, func(tx store.Tx) error {
			r, err := tx.Get(ctx, d.GetName())
			if err != nil {
				return err
			}
			_, change, err = Undelegate(ctx, tx, r, "accounts/ann")
			return err
		})
		return change
	}
	if first := end(); first == 0 || end() != first {
		t.Error("ended twice")
	}
	if r, _ := OfShop(ctx, s, ines, shop); r != Stranger {
		t.Errorf("after it was revoked: %s", r)
	}
	kept, err := s.Get(ctx, d.GetName())
	if err != nil {
		t.Fatal(err)
	}
	if was, _ := record.Delegation(kept); was.GetNote() != "for me" || was.GetRevokeTime() == nil || was.GetRevokeAccount() != "accounts/ann" || kept.Open {
		t.Errorf("kept %v", was)
	}
	if err := delegate(); err != nil {
		t.Errorf("delegated again: %v", err)
	}
	hand := func(to string) (change uint64) {
		write(t, s, func(tx store.Tx) (err error) {
			change, err = HandOver(ctx, tx, shop, to, "accounts/ann", pb.Relation_RELATION_KEEPER)
			return err
		})
		return change
	}
	if hand(ines.Account) == 0 || hand(ines.Account) != 0 {
		t.Error("handed over twice")
	}
	if owner, _ := Owner(ctx, s, shop); owner != ines.Account {
		t.Errorf("it is %s's", owner)
	}
	if r, _ := OfShop(ctx, s, Caller{Account: "accounts/ann"}, shop); r != Stranger {
		t.Errorf("the old keeper is %s", r)
	}
	all, err := TiesOf(ctx, s, ines.Account)
	if err != nil || len(all) != 1 || all[0].GetRelation() != pb.Relation_RELATION_KEEPER {
		t.Errorf("ties %v, %v", all, err)
	}
	if owner, err := Owner(ctx, s, "shops/none"); owner != "" || err != nil {
		t.Errorf("nobody's is %q's, %v", owner, err)
	}
}

func TestAnAccountHasOnlySoMuch(t *testing.T) {
	if testing.Short() {
		t.Skip("it makes thousands of ties, in the simple store")
	}
	s := memory.New()
	_, token, _ := account(t, s, "Ann", pb.AccountState_ACCOUNT_STATE_ACTIVE, false)
	ann := Caller{Account: token.GetAccount()}
	write(t, s, func(tx store.Tx) error {
		for i := range MostTies {
			if err := Own(t.Context(), tx, ann, "shops/"+strings.Repeat("x", i%50)+randomID(), pb.Relation_RELATION_KEEPER); err != nil {
				return err
			}
		}
		for range MostTokens - 1 {
			if _, _, err := NewToken(t.Context(), tx, &pb.Token{Account: ann.Account, ExpireTime: timestamppb.Now()}); err != nil {
				return err
			}
		}
		if err := Own(t.Context(), tx, ann, shop, pb.Relation_RELATION_KEEPER); !errors.Is(err, ErrTooMany) {
			t.Errorf("a shop more: %v", err)
		}
		// What others give is counted apart.
		for i := range MostTies + 1 {
			_, err := Delegate(t.Context(), tx, &pb.Delegation{Shop: "shops/" + randomID(), Account: ann.Account})
			if full := i == MostTies; full != errors.Is(err, ErrTooMany) || !full && err != nil {
				t.Fatalf("delegation %d: %v", i, err)
			}
		}
		if _, _, err := NewToken(t.Context(), tx, &pb.Token{Account: ann.Account}); !errors.Is(err, ErrTooMany) {
			t.Errorf("a token more: %v", err)
		}
		return nil
	})
	if all, err := TiesOf(t.Context(), s, ann.Account); len(all) != 2*MostTies || err != nil {
		t.Errorf("%d ties, %v", len(all), err)
	}
}

func TestAnInvitationIsGoodOnce(t *testing.T) {
	s := memory.New()
	ctx := t.Context()
	invite := func(life time.Duration) (code string) {
		write(t, s, func(tx store.Tx) (err error) {
			code, _, err = Invite(ctx, tx, &pb.KeptInvitation{ExpireTime: timestamppb.New(tx.Now().Add(life))})
			return err
		})
		return code
	}
	use := func(code string) error {
		return s.Write(ctx, func(tx store.Tx) error {
			i, err := Invited(ctx, tx, code)
			if err != nil {
				return err
			}
			return UseInvitation(ctx, tx, i, "accounts/ann")
		})
	}
	code := invite(time.Hour)
	if err := use(code); err != nil {
		t.Fatal(err)
	}
	for what, code := range map[string]string{
		"used": code, "expired": invite(-time.Second), "empty": "", "made up": newSecret().text(invitationMark), "a token": newSecret().text(tokenMark),
	} {
		if err := use(code); !errors.Is(err, ErrInvitation) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestScopes(t *testing.T) {
	read := Caller{Account: "accounts/ann", Scopes: []pb.TokenScope{pb.TokenScope_TOKEN_SCOPE_READ}}
	if !read.MayUse(pb.TokenScope_TOKEN_SCOPE_READ) || read.MayUse(pb.TokenScope_TOKEN_SCOPE_KEEP) {
		t.Error("a token to read is good for more, or less")
	}
	if all := (Caller{Account: "accounts/ann"}); !all.MayUse(pb.TokenScope_TOKEN_SCOPE_MANAGE) {
		t.Error("a token without scopes is not good for everything")
	}
	if some, err := Any(t.Context(), memory.New()); some || err != nil {
		t.Errorf("a new registry has accounts: %v", err)
	}
}
