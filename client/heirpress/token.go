package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
)

var scopeWords = map[string]pb.TokenScope{
	"read": pb.TokenScope_TOKEN_SCOPE_READ, "keep": pb.TokenScope_TOKEN_SCOPE_KEEP,
	"seek": pb.TokenScope_TOKEN_SCOPE_SEEK, "manage": pb.TokenScope_TOKEN_SCOPE_MANAGE,
}

func (a *app) token() *cobra.Command {
	c := &cobra.Command{
		Use:   "token",
		Short: "the tokens of your account at a shared registry",
		Long: `A token is a way into your account. Have one for each machine, with no more scopes
than it needs there, and revoke it when the machine is sold or lost. The scopes are
read, keep (to write shops and lots), seek (to write wanted lists and alerts) and
manage (accounts, tokens, delegations).`,
		Example: `  heirpress token list
  heirpress token create "the laptop in the shop" --scope read --scope keep --out shop.token
  heirpress token revoke 4kx9mw2prt7h`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(a.tokenCreate(), a.tokenList(), a.tokenRevoke())
	return c
}

func (a *app) tokenCreate() *cobra.Command {
	var scopes []string
	var expires, account, out string
	c := &cobra.Command{
		Use:   "create TITLE",
		Short: "make another token; it is shown once",
		Long: `Make another token for your account. It is shown once: written to a new file that only
you can read, or printed. It can do no more, and lasts no longer, than the token you
make it with.`,
		Example: `  heirpress token create "the laptop in the shop" --scope read --scope keep --out shop.token`,
		Args:    words(1, 1, "a title that says what the token is for"),
		RunE: func(c *cobra.Command, args []string) error {
			token := &pb.Token{Title: args[0]}
			if account != "" {
				token.Account = client.AccountName(account)
			}
			for _, word := range scopes {
				scope, known := scopeWords[strings.ToLower(word)]
				if !known {
					return wrongUsage(c, fmt.Sprintf("--scope is %q: say read, keep, seek or manage", word))
				}
				token.Scopes = append(token.Scopes, scope)
			}
			var err error
			if token.ExpireTime, err = expiry(expires); err != nil {
				return wrongUsage(c, "--expires: "+err.Error())
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.showOnce(out, func() (string, error) {
					got, err := conn.Accounts.CreateToken(c.Context(), &pb.CreateTokenRequest{Token: token})
					return got.GetSecret(), err
				})
			})
		},
	}
	c.Flags().StringArrayVar(&scopes, "scope", nil, "what it may be used `for`: read, keep, seek or manage; for everything if none is said")
	c.Flags().StringVar(&expires, "expires", "", "the `day` on which it ends; a year from now if it is not said")
	c.Flags().StringVar(&account, "for", "", "as the operator: the `ID` of the account that has lost its own")
	c.Flags().StringVar(&out, "out", "", "the new `file` to write it to")
	return c
}

func (a *app) tokenList() *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "show the tokens of your account, without their secrets",
		Example: `  heirpress token list`,
		Args:    noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				all, err := conn.AllTokens(c.Context(), "")
				if err != nil {
					return err
				}
				for _, t := range all {
					if err := a.printToken(t); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
}

func (a *app) printToken(t *pb.Token) error {
	if a.json {
		return a.printJSON(t)
	}
	good := "good until " + dayIn(t.GetExpireTime().AsTime())
	switch {
	case t.GetRevokeTime() != nil:
		good = "revoked on " + dayIn(t.GetRevokeTime().AsTime())
	case t.GetExpireTime().AsTime().Before(time.Now()):
		good = "expired on " + dayIn(t.GetExpireTime().AsTime())
	}
	a.printf("%s (%s): %s, %s\n", t.GetTitle(), client.TokenID(t.GetName()), forScopes(t.GetScopes()), good)
	return nil
}

func dayIn(t time.Time) string { return t.Format(time.DateOnly) }

// forScopes says what a token may be used for.
func forScopes(scopes []pb.TokenScope) string {
	if len(scopes) == 0 {
		return "for everything"
	}
	var names []string
	for _, s := range scopes {
		names = append(names, strings.ToLower(strings.TrimPrefix(s.String(), "TOKEN_SCOPE_")))
	}
	return "to " + strings.Join(names, ", ")
}

func (a *app) tokenRevoke() *cobra.Command {
	return &cobra.Command{
		Use:     "revoke ID...",
		Short:   "end tokens, at once and for good",
		Example: `  heirpress token revoke 4kx9mw2prt7h`,
		Args:    words(1, -1, "the ID of a token; heirpress token list shows them"),
		RunE: func(c *cobra.Command, ids []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				for _, id := range ids {
					got, err := conn.Accounts.RevokeToken(c.Context(), &pb.RevokeTokenRequest{Name: client.TokenName(id)})
					if err != nil {
						return err
					}
					if err := a.printToken(got.GetToken()); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
}
