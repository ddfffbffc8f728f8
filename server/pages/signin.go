package pages

import (
	"net/http"
	"net/url"
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "heirpress/proto/heirpress/v1"
)

// signInPage asks for a token.
type signInPage struct{ Next, Wrong string }

// longestToken is how much of a token is looked at.
const longestToken = 4096

func (s *site) signIn(v *visit) error {
	if !s.Accounts {
		return errNothing
	}
	return s.askToken(v, http.StatusOK, signInPage{Next: local(v.r.URL.Query().Get("next"))})
}

func (s *site) askToken(v *visit, code int, p signInPage) error {
	s.show(v, code, "sign-in", view{Title: "Sign in", Here: "sign-in", Body: p})
	return nil
}

// signedIn begins a session with a token that the registry knows.
func (s *site) signedIn(v *visit) error {
	if !s.Accounts {
		return errNothing
	}
	token, next := strings.TrimSpace(v.r.PostFormValue("token")), local(v.r.PostFormValue("next"))
	if token == "" || len(token) > longestToken || strings.ContainsFunc(token, func(r rune) bool { return r <= ' ' || r > '~' }) {
		return s.askToken(v, http.StatusBadRequest, signInPage{next, "Write the token as it was given to you: one word, without spaces."})
	}
	shown := *v
	shown.token = token
	ctx, cancel := shown.calling()
	defer cancel()
	_, err := s.accounts.GetAccount(ctx, &pb.GetAccountRequest{Name: "accounts/me"})
	if status.Code(err) == codes.Unauthenticated {
		v.token = ""
		return s.askToken(v, http.StatusForbidden, signInPage{next, saying(err)})
	}
	if err != nil {
		return err
	}
	s.keep(v, token)
	return s.goTo(v, next)
}

// signOut ends the session in this browser. The token stays good elsewhere.
func (s *site) signOut(v *visit) error {
	s.keep(v, "")
	return s.goTo(v, "/")
}

// goTo sends a browser on after it has sent something, so that loading the page again
// sends nothing twice.
func (s *site) goTo(v *visit, path string) error {
	v.w.Header().Set("Cache-Control", "no-store")
	http.Redirect(v.w, v.r, path, http.StatusSeeOther)
	return nil
}

// local is a path on this site to go to, or the front page: no address leads a
// visitor to another site.
func local(path string) string {
	u, err := url.Parse(path)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(path, "/") || strings.HasPrefix(path, "//") || strings.ContainsAny(path, "\\\r\n\t") {
		return "/"
	}
	return path
}
