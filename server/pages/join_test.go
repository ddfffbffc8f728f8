package pages_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// Somebody with an invitation opens an account in a browser, and can sign in again
// with the token that they were shown.
func TestJoinByInvitation(t *testing.T) {
	p := serveAccounts(t, server.ByInvitation)
	page := p.get(t, p.get(t, "/sign-in").is(t, http.StatusOK).link(t, "Open one")).is(t, http.StatusOK, "The invitation")
	if wrong := faults(page); len(wrong) > 0 {
		t.Error(wrong)
	}
	p.send(t, "/join", url.Values{"name": {"Cleo"}}).is(t, http.StatusBadRequest, "nvitation")
	p.send(t, "/join", url.Values{"name": {"Cleo"}, "invitation": {"made-up"}}).is(t, http.StatusBadRequest, "nvitation")
	invited, err := pb.NewAccountServiceClient(p.conn).CreateInvitation(p.operator.as(t), &pb.CreateInvitationRequest{})
	if err != nil {
		t.Fatal(err)
	}
	p.send(t, "/join", url.Values{"invitation": {invited.GetInvitation()}}).is(t, http.StatusBadRequest, "required")
	open := p.send(t, "/join", url.Values{"name": {"Cleo"}, "invitation": {invited.GetInvitation()}}).is(t, http.StatusOK, "The account of Cleo is open", "Sign out")
	if open.Header.Get("Cache-Control") != "no-store" {
		t.Error("a browser may keep the page with the token")
	}
	token := textOf(open.all("code")[0])
	p.get(t, "/wants").is(t, http.StatusOK, "Nothing is lodged yet")
	p.send(t, "/sign-out", nil)
	p.signIn(t, somebody{secret: token})
	p.send(t, "/join", url.Values{"name": {"Dan"}, "invitation": {invited.GetInvitation()}}).is(t, http.StatusBadRequest, "nvitation") // it is used up
}

func TestJoinByApproval(t *testing.T) {
	p := serveAccounts(t, server.ByApproval)
	p.send(t, "/join", url.Values{"name": {"Cleo"}}).is(t, http.StatusOK, "the operator has to let you in")
	form := p.get(t, newWant("q", "platen near Dayton, OH")).is(t, http.StatusOK).form(t, "/wants")
	p.send(t, "/wants", form).is(t, http.StatusForbidden, "not yours to do")
	serve(t, server.Config{}).get(t, "/join").is(t, http.StatusNotFound)
}

// Who tries tokens is soon told to wait, by the same count as on any other way in.
func TestGuessing(t *testing.T) {
	p := serveAccounts(t, server.ByInvitation)
	last := 0
	for i := range 12 {
		last = p.send(t, "/sign-in", url.Values{"token": {fmt.Sprint("heirpress-token_", strings.Repeat("x", i+1))}}).StatusCode
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("the twelfth guess: %d", last)
	}
}
