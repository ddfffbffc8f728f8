package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/types/known/timestamppb"

	"heirpress/client"
	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

func (a *app) account() *cobra.Command {
	c := &cobra.Command{
		Use:   "account",
		Short: "your account at a shared registry, and the operator's view of all",
		Long: `Show your account at the shared registry that --server names. Others name you by the
ID that it shows.`,
		Example: `  heirpress account --server registry.example.org:7427
  heirpress account open --name "Ann Archer" --invitation-file invitation.txt
  heirpress account invite --note "Ann, of the poster shop" --out invitation.txt
  heirpress account list --pending
  heirpress account approve ann-archer-k3q7z`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				got, err := conn.Accounts.GetAccount(c.Context(), &pb.GetAccountRequest{Name: "accounts/me"})
				if err != nil {
					return err
				}
				return a.printAccount(got.GetAccount())
			})
		},
	}
	c.AddCommand(a.accountOpen(), a.accountInvite(), a.accountList(), a.accountLet("approve", "let an account in, or a suspended one back in"),
		a.accountLet("suspend", "close an account: its tokens are refused from then on"), a.accountAudit())
	return c
}

var accountStateWords = map[pb.AccountState]string{
	pb.AccountState_ACCOUNT_STATE_PENDING:   "waits for the operator's approval",
	pb.AccountState_ACCOUNT_STATE_ACTIVE:    "active",
	pb.AccountState_ACCOUNT_STATE_SUSPENDED: "suspended",
}

func (a *app) printAccount(one *pb.Account) error {
	if a.json {
		return a.printJSON(one)
	}
	operator := ""
	if one.GetOperator() {
		operator = ", operator"
	}
	a.printf("%s (%s): %s%s\n", one.GetDisplayName(), client.AccountID(one.GetName()), accountStateWords[one.GetState()], operator)
	if one.GetAbout() != "" {
		a.printf("  %s\n", one.GetAbout())
	}
	return nil
}

func (a *app) accountOpen() *cobra.Command {
	var name, about, file string
	c := &cobra.Command{
		Use:   "open",
		Short: "open an account, and keep its first token",
		Long: `Open an account at the shared registry that --server names, and keep its first token
as heirpress login does. With an invitation the account is active at once; without,
if the registry takes people so, its operator approves it first.`,
		Example: `  heirpress account open --server registry.example.org:7427 --name "Ann Archer" --invitation-file invitation.txt`,
		Args:    noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			path, err := a.tokenPath(c)
			if err != nil {
				return err
			}
			req := &pb.CreateAccountRequest{Account: &pb.Account{DisplayName: name, About: about}}
			if file != "" {
				if req.Invitation, err = readSecretFile(file); err != nil {
					return err
				}
			}
			return a.openAccount(c.Context(), path, req)
		},
	}
	c.Flags().StringVar(&name, "name", "", "how you are `called`")
	c.Flags().StringVar(&about, "about", "", "who you are and what you come for, in a `line` for the operator")
	c.Flags().StringVar(&file, "invitation-file", "", "the `file` that holds your invitation; - reads standard input")
	return c
}

// readSecretFile reads a secret that stands alone in a file, or in standard input.
func readSecretFile(file string) (string, error) {
	if file == "-" {
		return client.TokenIn(os.Stdin, "standard input")
	}
	f, err := os.Open(file)
	if err != nil {
		return "", unreadable(file, err)
	}
	defer f.Close()
	return client.TokenIn(f, file)
}

func (a *app) openAccount(ctx context.Context, path string, req *pb.CreateAccountRequest) error {
	if _, err := os.Stat(path); err == nil {
		return &usageError{message: "a token for " + a.options.Server + " is kept already: heirpress logout forgets it"}
	}
	return a.with(ctx, func(conn *client.Client) error {
		got, err := conn.Accounts.CreateAccount(ctx, req)
		if err != nil {
			return err
		}
		if err := client.KeepToken(path, got.GetSecret()); err != nil {
			return err
		}
		a.note("The token is kept in %s, which only you can read.", path)
		return a.printAccount(got.GetAccount())
	})
}

func (a *app) accountInvite() *cobra.Command {
	var note, expires, out string
	c := &cobra.Command{
		Use:   "invite",
		Short: "make an invitation, as the operator",
		Long: `Make an invitation, with which one person can open one account. It is shown once:
written to a new file that only you can read, or printed. Send it by a way that you
trust.`,
		Example: `  heirpress account invite --note "Ann, of the poster shop" --out invitation.txt`,
		Args:    noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			end, err := expiry(expires)
			if err != nil {
				return wrongUsage(c, "--expires: "+err.Error())
			}
			return a.with(c.Context(), func(conn *client.Client) error {
				return a.showOnce(out, func() (string, error) {
					got, err := conn.Accounts.CreateInvitation(c.Context(), &pb.CreateInvitationRequest{Note: note, ExpireTime: end})
					return got.GetInvitation(), err
				})
			})
		},
	}
	c.Flags().StringVar(&note, "note", "", "who is `invited`, for you to know it by")
	c.Flags().StringVar(&expires, "expires", "", "the `day` on which it ends; two weeks from now if it is not said")
	c.Flags().StringVar(&out, "out", "", "the new `file` to write it to")
	return c
}

// expiry is the end of a day, in UTC; nil if none is said.
func expiry(text string) (*timestamppb.Timestamp, error) {
	if text == "" {
		return nil, nil
	}
	day, err := trade.ParseDate(text)
	if err != nil {
		return nil, err
	}
	return timestamppb.New(trade.DayOf(day).Add(24*time.Hour - time.Second)), nil
}

// showOnce writes a secret to a new file that only its owner can read, or prints
// it. The file comes first: what cannot be written is not made.
func (a *app) showOnce(file string, make func() (string, error)) error {
	if file == "" {
		secret, err := make()
		if err != nil {
			return err
		}
		a.printf("%s\n", secret)
		a.note("It is shown this once.")
		return nil
	}
	f, err := os.OpenFile(file, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return unreadable(file, err)
	}
	secret, err := make()
	if err == nil {
		_, err = fmt.Fprintln(f, secret)
	}
	if shut := f.Close(); err == nil {
		err = shut
	}
	if err != nil {
		os.Remove(file) //nolint:errcheck // there is nothing in it
		return err
	}
	a.note("It is in %s, which only you can read.", file)
	return nil
}

func (a *app) accountList() *cobra.Command {
	var pending bool
	c := &cobra.Command{
		Use:   "list",
		Short: "show the accounts, as the operator",
		Example: `  heirpress account list
  heirpress account list --pending`,
		Args: noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				all, err := conn.AllAccounts(c.Context(), pending)
				if err != nil {
					return err
				}
				if len(all) == 0 {
					a.note("There is no such account.")
					return errNothing
				}
				for _, one := range all {
					if err := a.printAccount(one); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
	c.Flags().BoolVar(&pending, "pending", false, "only those that wait for approval")
	return c
}

func (a *app) accountAudit() *cobra.Command {
	return &cobra.Command{
		Use:     "audit",
		Short:   "show who let whom in, made or revoked what, and gave away what, as the operator",
		Example: `  heirpress account audit`,
		Args:    noWords,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				all, err := conn.AuditLog(c.Context())
				if err != nil {
					return err
				}
				for _, e := range all {
					if err := a.printAudit(e); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
}

func (a *app) printAudit(e *pb.AuditEntry) error {
	if a.json {
		return a.printJSON(e)
	}
	a.printf("%s %s %s by %s\n", e.GetTime().AsTime().Format("2006-01-02 15:04:05"), e.GetAct(), e.GetSubject(), orElse(client.AccountID(e.GetAccount()), "somebody without an account"))
	return nil
}

func (a *app) accountLet(word, short string) *cobra.Command {
	return &cobra.Command{
		Use:     word + " ID...",
		Short:   short,
		Example: "  heirpress account " + word + " ann-archer-k3q7z",
		Args:    words(1, -1, "the ID of an account; heirpress account list shows them"),
		RunE: func(c *cobra.Command, ids []string) error {
			return a.with(c.Context(), func(conn *client.Client) error {
				for _, id := range ids {
					one, err := let(c.Context(), conn, word, client.AccountName(strings.TrimSpace(id)))
					if err != nil {
						return err
					}
					if err := a.printAccount(one); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
}

func let(ctx context.Context, conn *client.Client, word, name string) (*pb.Account, error) {
	if word == "suspend" {
		got, err := conn.Accounts.SuspendAccount(ctx, &pb.SuspendAccountRequest{Name: name})
		return got.GetAccount(), err
	}
	got, err := conn.Accounts.ApproveAccount(ctx, &pb.ApproveAccountRequest{Name: name})
	return got.GetAccount(), err
}
