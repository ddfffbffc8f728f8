package client

import (
	"context"
	"crypto/rand"
	"strings"

	pb "heirpress/proto/heirpress/v1"
)

// AccountName is the resource name of an account, from its ID or name; "me" is the
// caller's.
func AccountName(id string) string { return "accounts/" + AccountID(id) }

// AccountID is the ID of an account, from its ID or name.
func AccountID(name string) string { return strings.TrimPrefix(name, "accounts/") }

// TokenName is the resource name of a token, from its ID or name.
func TokenName(id string) string { return "tokens/" + TokenID(id) }

// TokenID is the ID of a token, from its ID or name.
func TokenID(name string) string { return strings.TrimPrefix(name, "tokens/") }

// DelegationName is the resource name of a delegation, from its ID or name.
func DelegationName(id string) string { return "delegations/" + DelegationID(id) }

// DelegationID is the ID of a delegation, from its ID or name.
func DelegationID(name string) string { return strings.TrimPrefix(name, "delegations/") }

// AllAccounts is every account, for the operator, or those that wait for approval.
func (c *Client) AllAccounts(ctx context.Context, pending bool) ([]*pb.Account, error) {
	return pages(func(token string) ([]*pb.Account, string, error) {
		got, err := c.Accounts.ListAccounts(ctx, &pb.ListAccountsRequest{PageSize: listPage, PageToken: token, PendingOnly: pending})
		return got.GetAccounts(), got.GetNextPageToken(), err
	})
}

// AllTokens is every token of an account, revoked ones too.
func (c *Client) AllTokens(ctx context.Context, account string) ([]*pb.Token, error) {
	return pages(func(token string) ([]*pb.Token, string, error) {
		got, err := c.Accounts.ListTokens(ctx, &pb.ListTokensRequest{Account: account, PageSize: listPage, PageToken: token})
		return got.GetTokens(), got.GetNextPageToken(), err
	})
}

// AllDelegations is every delegation of a shop, or, without one, to the caller.
func (c *Client) AllDelegations(ctx context.Context, shop string) ([]*pb.Delegation, error) {
	return pages(func(token string) ([]*pb.Delegation, string, error) {
		got, err := c.Accounts.ListDelegations(ctx, &pb.ListDelegationsRequest{Shop: shop, PageSize: listPage, PageToken: token})
		return got.GetDelegations(), got.GetNextPageToken(), err
	})
}

// ShopName is the resource name of a shop, from its ID or name.
func ShopName(id string) string { return "shops/" + strings.TrimPrefix(id, "shops/") }

// Delegate names a go-between for a shop.
func (c *Client) Delegate(ctx context.Context, d *pb.Delegation) (*pb.Delegation, error) {
	got, err := c.Accounts.CreateDelegation(ctx, &pb.CreateDelegationRequest{Delegation: d, RequestId: rand.Text()})
	return got.GetDelegation(), err
}

// AuditLog is all that was done that matters to security, for the operator.
func (c *Client) AuditLog(ctx context.Context) ([]*pb.AuditEntry, error) {
	return pages(func(token string) ([]*pb.AuditEntry, string, error) {
		got, err := c.Accounts.ListAuditEntries(ctx, &pb.ListAuditEntriesRequest{PageSize: listPage, PageToken: token})
		return got.GetEntries(), got.GetNextPageToken(), err
	})
}
