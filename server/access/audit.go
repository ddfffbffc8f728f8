package access

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/record"
	"heirpress/server/store"
)

// Audit writes down, in the transaction that does it, that a caller has done
// something to a thing. What is written is never changed.
func Audit(ctx context.Context, tx store.Tx, c Caller, act, subject string) error {
	e := &pb.AuditEntry{
		Name: "auditEntries/" + randomID(), Time: timestamppb.New(tx.Now()),
		Account: c.Account, Token: c.Token, Act: act, Subject: subject,
	}
	body, err := record.Body(e)
	if err != nil {
		return err
	}
	_, err = tx.Create(ctx, store.Record{Name: e.GetName(), Collection: store.AuditEntries, Body: body})
	return err
}
