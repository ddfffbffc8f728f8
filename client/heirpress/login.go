package main

import (
	"context"
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
)

func (a *app) login() *cobra.Command {
	return &cobra.Command{
		Use:   "login",
		Short: "keep a token for a shared registry",
		Long: `Keep a token for the shared registry that --server names, in a file of your data
folder that only you can read. The token is read from --token-file, or from standard
input; at a keyboard it is asked for and not shown. It is never an argument: other
people on the machine could see those.

Every command with that --server then shows the token. It is not sent in the clear to
another machine.`,
		Example: `  heirpress login --server registry.example.org:7427 --token-file ann.token
  pass show registry | heirpress login --server registry.example.org:7427`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			path, err := a.tokenPath(c)
			if err != nil {
				return err
			}
			token, err := a.askToken()
			if err != nil {
				return &usageError{message: err.Error()}
			}
			return a.keepToken(c.Context(), path, token)
		},
	}
}

// tokenPath is where the token for --server is kept.
func (a *app) tokenPath(c *cobra.Command) (string, error) {
	if a.options.Server == "" {
		return "", wrongUsage(c, c.Name()+" is for a shared registry: name it with --server; your own needs no token")
	}
	return client.TokenFile(a.options.Dir, a.options.Server)
}

// askToken reads the token that is to be kept.
func (a *app) askToken() (string, error) {
	if a.options.TokenFile != "" {
		return client.ReadToken(a.options.TokenFile)
	}
	stdin := int(os.Stdin.Fd())
	if !term.IsTerminal(stdin) {
		return client.TokenIn(os.Stdin, "standard input")
	}
	fmt.Fprint(a.notes, "Token (it is not shown): ")
	typed, err := term.ReadPassword(stdin)
	fmt.Fprintln(a.notes)
	if err != nil {
		return "", err
	}
	return string(typed), nil
}

// keepToken keeps a token, once the registry has let it in.
func (a *app) keepToken(ctx context.Context, path, token string) error {
	a.options.Token = token
	return a.with(ctx, func(conn *client.Client) error {
		got, err := conn.Accounts.GetAccount(ctx, &pb.GetAccountRequest{Name: "accounts/me"})
		if err != nil {
			return err
		}
		if err := client.KeepToken(path, token); err != nil {
			return err
		}
		a.note("You are %s (%s) at %s. The token is kept in %s, which only you can read.",
			got.GetAccount().GetDisplayName(), client.AccountID(got.GetAccount().GetName()), a.options.Server, path)
		return nil
	})
}

func (a *app) logout() *cobra.Command {
	return &cobra.Command{
		Use:   "logout",
		Short: "forget the token for a shared registry",
		Long: `Forget the token that heirpress login kept for the registry that --server names. The
token itself stays good: heirpress token revoke ends it.`,
		Example: `  heirpress logout --server registry.example.org:7427`,
		Args:    noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			path, err := a.tokenPath(c)
			if err != nil {
				return err
			}
			if err := client.ForgetToken(path); err != nil {
				return err
			}
			a.note("No token for %s is kept here any more. To end it for good: heirpress token revoke.", a.options.Server)
			return nil
		},
	}
}
