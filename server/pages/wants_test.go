package pages_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// form is what the form of a page that leads somewhere would send.
func (a answer) form(t *testing.T, action string) url.Values {
	t.Helper()
	for _, f := range a.all("form") {
		if attr(f, "action") != action || attr(f, "method") != "post" {
			continue
		}
		v := url.Values{}
		for n := range f.Descendants() {
			if n.Data == "input" && attr(n, "name") != "" {
				v.Add(attr(n, "name"), attr(n, "value"))
			}
		}
		return v
	}
	t.Fatalf("%s has no form for %s", a.Request.URL, action)
	return nil
}

// postTo is where the first form leads that begins so.
func (a answer) postTo(t *testing.T, prefix string) string {
	t.Helper()
	for _, f := range a.all("form") {
		if to := attr(f, "action"); strings.HasPrefix(to, prefix) && attr(f, "method") == "post" {
			return to
		}
	}
	t.Fatalf("%s sends nothing to %s…", a.Request.URL, prefix)
	return ""
}

func newWant(pairs ...string) string {
	return strings.Replace(find(pairs...), "/find", "/wants/new", 1)
}

// A want in plain words, from seeing what it meets to having read of it.
func TestAWantFromWordsToAlert(t *testing.T) {
	s := demonstrated(t)
	s.get(t, "/wants").is(t, http.StatusOK, "Nothing is lodged yet")
	seen := s.get(t, newWant("q", "wood type within 300 miles of Toledo, OH under $500")).is(t, http.StatusOK,
		"Today it meets", "Understood as", "within 300 mi by road of Toledo, OH", "wood type")
	today := len(seen.titles())
	if today == 0 {
		t.Fatal("it shows nothing that it meets")
	}
	form := seen.form(t, "/wants")
	s.send(t, "/wants", form).is(t, http.StatusOK, "within 300 mi by road of Toledo, OH")
	s.send(t, "/wants", form).is(t, http.StatusOK) // The button pressed twice lodges one.
	lists, err := pb.NewWantServiceClient(s.conn).ListWantedLists(t.Context(), &pb.ListWantedListsRequest{})
	if err != nil || len(lists.GetWantedLists()) != 1 {
		t.Fatalf("%d lists, %v", len(lists.GetWantedLists()), err)
	}
	alerts := s.get(t, "/alerts").is(t, http.StatusOK, "by road", "Fit", "a lot that was there already")
	if got := len(alerts.all("form")); got != today {
		t.Errorf("seen beforehand: %d, alerts: %d", today, got)
	}
	made, err := pb.NewLotServiceClient(s.conn).CreateLot(t.Context(), &pb.CreateLotRequest{Parent: s.shop, Lot: &pb.Lot{Tag: "N1", Title: "Gothic wood type, newly found", Kind: pb.Kind_KIND_WOOD_TYPE}})
	if err != nil {
		t.Fatal(err)
	}
	s.get(t, "/alerts").is(t, http.StatusOK, made.GetLot().GetTitle(), "a new lot")
	for range today + 1 {
		s.send(t, s.get(t, "/alerts").postTo(t, "/alerts/"), url.Values{}).is(t, http.StatusOK)
	}
	s.get(t, "/alerts").is(t, http.StatusOK, "Nothing that you have not read")
	s.get(t, "/alerts?all=1").is(t, http.StatusOK, "Read.", made.GetLot().GetTitle())
	s.send(t, s.get(t, "/wants").postTo(t, "/wants/"), url.Values{}).is(t, http.StatusOK, "Nothing is lodged yet")
}

func TestAWantThatCannotBeLodgedYet(t *testing.T) {
	s := demonstrated(t)
	s.get(t, "/wants/new").is(t, http.StatusOK, "plain words")
	for _, c := range []struct{ pairs, says string }{
		{"q=a treadle press", "Say where you are"},
		{"within=far&near=Dayton, OH", "300 mi or 480 km"},
		{"q=press&near=Nowherebury", "Nowherebury"},
		{"near=Dayton, OH&weight=heavy", "heavy"},
	} {
		v, err := url.ParseQuery(c.pairs)
		if err != nil {
			t.Fatal(err)
		}
		got := s.get(t, "/wants/new?"+v.Encode()).is(t, http.StatusBadRequest, c.says)
		if len(got.all("form")) != 1 {
			t.Errorf("%s: there is a form to lodge it", c.pairs)
		}
		s.send(t, "/wants", v).is(t, http.StatusBadRequest, c.says)
	}
	// A search takes a word that no lot has for another; a want waits for the word.
	s.get(t, newWant("q", "platten", "near", "Dayton, OH")).is(t, http.StatusOK, "It meets nothing today", "Did you mean “platen”?")
	// How far stands by itself, and where in the words.
	s.get(t, newWant("q", "platen near Toledo, OH", "within", "300 mi")).is(t, http.StatusOK, "Today it meets")
	form := s.get(t, newWant("q", "platen near Dayton, OH")).form(t, "/wants")
	form.Set("email", "no address")
	s.send(t, "/wants", form).is(t, http.StatusBadRequest, "address")
	form.Set("email", "")
	s.send(t, "/wants", form).is(t, http.StatusOK)
	form.Set("id", "another")
	s.send(t, "/wants", form).is(t, http.StatusConflict, "call this one something else")
	form.Set("title", "Another platen")
	form.Set("email", "ann@example.org")
	s.send(t, "/wants", form).is(t, http.StatusOK, "Another platen")
}

// Somebody signs in with a token, and sees their own and nobody else's.
func TestSignInAndOut(t *testing.T) {
	p := serveAccounts(t, server.ByInvitation)
	p.get(t, "/").is(t, http.StatusOK, "Sign in")
	asked := p.get(t, "/wants?x=1").is(t, http.StatusOK, "Your token")
	if next := asked.form(t, "/sign-in").Get("next"); next != "/wants?x=1" {
		t.Errorf("after signing in to %q", next)
	}
	p.send(t, "/sign-in", url.Values{"token": {"two words"}}).is(t, http.StatusBadRequest, "one word, without spaces")
	wrong := p.send(t, "/sign-in", url.Values{"token": {"heirpress-token_nonsense"}}).is(t, http.StatusForbidden, "not one of this registry")
	if strings.Contains(wrong.body, "nonsense") {
		t.Error("a token is written back")
	}
	p.signIn(t, p.seeker)
	form := p.get(t, newWant("q", "platen near Dayton, OH")).is(t, http.StatusOK).form(t, "/wants")
	p.send(t, "/wants", form).is(t, http.StatusOK, "any distance from Dayton, OH")
	name := strings.TrimSuffix(p.get(t, "/wants").postTo(t, "/wants/"), "/drop")
	p.send(t, "/sign-out", nil).is(t, http.StatusOK, "Sign in")
	p.get(t, "/wants").is(t, http.StatusOK, "Your token")
	p.send(t, name+"/drop", nil).is(t, http.StatusOK, "Your token") // nothing is done

	p.signIn(t, p.keeper)
	p.get(t, "/wants").is(t, http.StatusOK, "Nothing is lodged yet")
	p.send(t, name+"/drop", nil).is(t, http.StatusNotFound)
	p.signIn(t, p.seeker)
	p.get(t, "/wants").is(t, http.StatusOK, "platen")
}

func (p *peopled) signIn(t *testing.T, who somebody) {
	t.Helper()
	p.send(t, "/sign-in", url.Values{"token": {who.secret}, "next": {"/"}}).is(t, http.StatusOK, "Sign out")
}

// The cookie is sealed, out of reach of scripts, and good for nobody who changes it.
func TestTheCookie(t *testing.T) {
	p := serveAccountsWith(t, server.Config{Accounts: server.ByInvitation}, server.ServeConfig{PublicURL: "https://example.org"})
	p.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	got := p.send(t, "/sign-in", url.Values{"token": {p.seeker.secret}, "next": {"https://attacker.example/"}}).is(t, http.StatusSeeOther)
	if to := got.Header.Get("Location"); to != "/" {
		t.Errorf("leads to %s", to)
	}
	cookie := got.Cookies()[0]
	if cookie.Name != "__Host-heirpress" || !cookie.Secure || !cookie.HttpOnly || cookie.SameSite != http.SameSiteLaxMode || cookie.Path != "/" || cookie.Domain != "" || cookie.MaxAge > 12*3600 {
		t.Errorf("the cookie is %v", cookie)
	}
	if strings.Contains(cookie.Value, p.seeker.secret) {
		t.Error("the token stands in it")
	}
	with := func(value string) answer {
		r := request(t, http.MethodGet, p.at+"/wants", nil)
		r.AddCookie(&http.Cookie{Name: cookie.Name, Value: value})
		return p.do(t, r)
	}
	with(cookie.Value).is(t, http.StatusOK)
	last := cookie.Value[len(cookie.Value)-2]
	changed := cookie.Value[:len(cookie.Value)-2] + map[bool]string{true: "B", false: "A"}[last == 'A'] + cookie.Value[len(cookie.Value)-1:]
	for _, value := range []string{"", "x", changed, p.seeker.secret} {
		with(value).is(t, http.StatusSeeOther)
	}
	// A revoked token ends the session at once.
	accounts := pb.NewAccountServiceClient(p.conn)
	tokens, err := accounts.ListTokens(p.seeker.as(t), &pb.ListTokensRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := accounts.RevokeToken(p.seeker.as(t), &pb.RevokeTokenRequest{Name: tokens.GetTokens()[0].GetName()}); err != nil {
		t.Fatal(err)
	}
	with(cookie.Value).is(t, http.StatusSeeOther)
}
