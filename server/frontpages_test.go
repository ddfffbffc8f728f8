package server_test

import (
	"strings"
	"testing"

	"heirpress/server"
)

func TestPagesAreNotOpenToStrangers(t *testing.T) {
	for _, c := range []struct {
		web, public string
		accounts    server.Accounts
		says        string
	}{
		{"127.0.0.1:8080", "", server.NoAccounts, ""},
		{"[::1]:0", "https://example.org", server.ByInvitation, ""},
		{"", "", server.NoAccounts, "--pages needs --web"},
		{":8080", "", server.NoAccounts, "no accounts to tell friend from stranger"},
		{"0.0.0.0:8080", "", server.ByInvitation, "sign in there in the clear"},
		{"127.0.0.1:8080", "example.org", server.NoAccounts, "--public-url"},
		{"127.0.0.1:8080", "http://example.org", server.ByInvitation, "https://example.org"},
		{"127.0.0.1:8080", "http://localhost:8080", server.ByInvitation, ""},
		{"127.0.0.1:8080", "https://example.org/press", server.NoAccounts, "without a path"},
	} {
		err := server.ServeConfig{Listen: "127.0.0.1:0", Web: c.web, Pages: true, PublicURL: c.public}.Check(c.accounts)
		if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("--web %q with accounts %q: %v, want %q", c.web, c.accounts, err, c.says)
		}
	}
}
