package record

import (
	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// Account reads an account.
func Account(r store.Record) (*pb.Account, error) {
	a := new(pb.Account)
	if err := decode(r, a); err != nil {
		return nil, err
	}
	a.Revision, a.Etag = r.Revision, Etag(r.Revision)
	return a, nil
}

// Token reads a token as it is kept, with the hash of its secret.
func Token(r store.Record) (*pb.KeptToken, error) {
	t := new(pb.KeptToken)
	if err := decode(r, t); err != nil {
		return nil, err
	}
	return t, nil
}

// Invitation reads an invitation as it is kept, with the hash of its code.
func Invitation(r store.Record) (*pb.KeptInvitation, error) {
	i := new(pb.KeptInvitation)
	if err := decode(r, i); err != nil {
		return nil, err
	}
	return i, nil
}

// Tie reads a tie.
func Tie(r store.Record) (*pb.Tie, error) {
	t := new(pb.Tie)
	if err := decode(r, t); err != nil {
		return nil, err
	}
	return t, nil
}

// AuditEntry reads an entry of the audit log.
func AuditEntry(r store.Record) (*pb.AuditEntry, error) {
	e := new(pb.AuditEntry)
	if err := decode(r, e); err != nil {
		return nil, err
	}
	return e, nil
}

// Delegation reads a delegation.
func Delegation(r store.Record) (*pb.Delegation, error) {
	d := new(pb.Delegation)
	if err := decode(r, d); err != nil {
		return nil, err
	}
	return d, nil
}
