package server

import (
	"context"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

// The acts of the audit log.
const (
	actInvite     = "make invitation"
	actOpen       = "open account"
	actApprove    = "approve account"
	actSuspend    = "suspend account"
	actToken      = "make token"
	actRevoke     = "revoke token"
	actDelegate   = "make delegation"
	actUndelegate = "revoke delegation"
	actHandOver   = "hand over"
	actPass       = "pass proof"
	actProofCode  = "make proof code"
	actPrivate    = "write private place"
	actForget     = "delete private place"
	actExchange   = "exchange contacts"
	actBlock      = "block"
	actLift       = "lift block"
	actReport     = "report"
)

// audit writes an act of the caller of ctx into the audit log, in the transaction
// that does it.
func audit(ctx context.Context, tx store.Tx, act, subject string) error {
	return access.Audit(ctx, tx, access.From(ctx), act, subject)
}

// logged tells an operator who reads the log of an act that was done.
func (r *Registry) logged(ctx context.Context, err error, act, subject string) {
	if err != nil {
		return
	}
	c := access.From(ctx)
	r.log.Info("audit: "+act, "subject", subject, "account", c.Account, "token", c.Token, "address", addressOf(ctx).String())
}

func (s *accountService) ListAuditEntries(ctx context.Context, req *pb.ListAuditEntriesRequest) (*pb.ListAuditEntriesResponse, error) {
	if err := s.accountsOn(); err != nil {
		return nil, err
	}
	if err := s.mayAct(ctx); err != nil {
		return nil, err
	}
	asked := new(pb.ListAuditEntriesRequest)
	listing, err := s.listing(ctx, store.AuditEntries, asked, req)
	if err != nil {
		return nil, err
	}
	entries, next, err := page(ctx, s.store, listing, record.AuditEntry)
	if err != nil {
		return nil, err
	}
	return &pb.ListAuditEntriesResponse{Entries: entries, NextPageToken: s.nextPage(ctx, asked, next)}, nil
}
