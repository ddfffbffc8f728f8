package pages

import (
	"net/http"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
)

// joinPage opens an account; once it is open, it shows its token.
type joinPage struct {
	Name, About, Invitation string
	Wrong                   wrongs
	// Token is shown this once, and Pending tells that the operator has to let the
	// account in first.
	Token   string
	Pending bool
}

// joinFields are the fields of the form that opens an account.
var joinFields = map[string]string{"account.display_name": "name", "account.about": "about", "invitation": "invitation"}

func (s *site) join(v *visit) error {
	if !s.Accounts {
		return errNothing
	}
	return s.askJoin(v, http.StatusOK, joinPage{Invitation: strings.TrimSpace(v.r.URL.Query().Get("invitation"))})
}

func (s *site) askJoin(v *visit, code int, p joinPage) error {
	v.w.Header().Set("Cache-Control", "no-store")
	s.show(v, code, "join", view{Title: "Open an account", Here: "sign-in", Body: p})
	return nil
}

// joined opens an account and signs its owner in. The call is made without a token,
// whoever has signed in here before.
func (s *site) joined(v *visit) error {
	if !s.Accounts {
		return errNothing
	}
	field := func(name string) string { return strings.ToValidUTF8(strings.TrimSpace(v.r.PostFormValue(name)), "") }
	p := joinPage{Name: field("name"), About: field("about"), Invitation: field("invitation")}
	nobody := *v
	nobody.token = ""
	ctx, cancel := nobody.calling()
	defer cancel()
	got, err := s.accounts.CreateAccount(ctx, &pb.CreateAccountRequest{
		Account: &pb.Account{DisplayName: p.Name, About: p.About}, Invitation: p.Invitation, TokenTitle: "the pages",
	})
	if wrong, all := wrongsOf(err, joinFields); all {
		p.Wrong = wrong
		return s.askJoin(v, http.StatusBadRequest, p)
	}
	if status.Code(err) == codes.FailedPrecondition {
		p.Wrong = wrongs{"invitation": saying(err)}
		return s.askJoin(v, http.StatusBadRequest, p)
	}
	if err != nil {
		return err
	}
	p.Token, p.Pending = got.GetSecret(), got.GetAccount().GetState() == pb.AccountState_ACCOUNT_STATE_PENDING
	s.keep(v, p.Token)
	v.token = p.Token
	return s.askJoin(v, http.StatusOK, p)
}
