package server_test

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server"
)

// Every act is written down once, with who did it and no secret; what changed
// nothing is not.
func TestAudit(t *testing.T) {
	var log lines
	w := openAccountsWith(t, server.Config{Accounts: server.ByApproval, Log: log.logger()})
	ann, ben := w.invite(t), w.join(t, "")
	shop := w.shopOf(t, ann).GetName()
	w.twice(t, func() error {
		_, err := w.accounts.ApproveAccount(w.operator.as(t), &pb.ApproveAccountRequest{Name: ben.account})
		return err
	})
	given := w.delegate(t, ann, ben, shop)
	w.twice(t, func() error {
		_, err := w.accounts.RevokeDelegation(ann.as(t), &pb.RevokeDelegationRequest{Name: given.GetName()})
		return err
	})
	made, err := w.accounts.CreateToken(ann.as(t), &pb.CreateTokenRequest{Token: &pb.Token{Title: "another"}})
	if err != nil {
		t.Fatal(err)
	}
	w.twice(t, func() error {
		_, err := w.accounts.RevokeToken(ann.as(t), &pb.RevokeTokenRequest{Name: made.GetToken().GetName()})
		return err
	})
	if _, err := w.accounts.HandOver(ann.as(t), &pb.HandOverRequest{Name: shop, Account: ben.account}); err != nil {
		t.Fatal(err)
	}
	_, err = w.accounts.HandOver(ann.as(t), &pb.HandOverRequest{Name: shop, Account: ben.account})
	refused(t, err, codes.NotFound, server.ReasonNotFound)
	w.twice(t, func() error {
		_, err := w.accounts.SuspendAccount(w.operator.as(t), &pb.SuspendAccountRequest{Name: ben.account})
		return err
	})
	want := []string{
		w.operator.account + " make invitation invitations/", " open account " + ann.account, " open account " + ben.account,
		w.operator.account + " approve account " + ben.account, ann.account + " make delegation " + given.GetName(),
		ann.account + " revoke delegation " + given.GetName(), ann.account + " make token " + made.GetToken().GetName(),
		ann.account + " revoke token " + made.GetToken().GetName(), ann.account + " hand over " + shop,
		w.operator.account + " suspend account " + ben.account,
	}
	if got := w.audited(t); !slices.EqualFunc(got, want, strings.HasPrefix) {
		t.Errorf("written down:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	said := log.String()
	for _, secret := range []string{ann.secret, ben.secret, made.GetSecret(), w.operator.secret} {
		if strings.Contains(said, secret) {
			t.Errorf("a secret is in the log:\n%s", said)
		}
	}
	if n := strings.Count(said, "audit: "); n < len(want) {
		t.Errorf("%d acts are in the log:\n%s", n, said)
	}
}

func (w *world) twice(t *testing.T, do func() error) {
	t.Helper()
	for range 2 {
		if err := do(); err != nil {
			t.Fatal(err)
		}
	}
}

// audited is the audit log.
func (w *world) audited(t *testing.T) (all []string) {
	t.Helper()
	for token := ""; ; {
		page, err := w.accounts.ListAuditEntries(w.operator.as(t), &pb.ListAuditEntriesRequest{PageSize: 2, PageToken: token})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range page.GetEntries() {
			all = append(all, e.GetAccount()+" "+e.GetAct()+" "+e.GetSubject())
		}
		if token = page.GetNextPageToken(); token == "" {
			return all
		}
	}
}
