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

// ProofCode reads a code as it is kept, with the hash of its secret.
func ProofCode(r store.Record) (*pb.KeptProofCode, error) {
	k := new(pb.KeptProofCode)
	if err := decode(r, k); err != nil {
		return nil, err
	}
	return k, nil
}

// Correction reads a correction.
func Correction(r store.Record) (*pb.Correction, error) {
	c := new(pb.Correction)
	if err := decode(r, c); err != nil {
		return nil, err
	}
	return c, nil
}

// Introduction reads an introduction as it is kept.
func Introduction(r store.Record) (*pb.KeptIntroduction, error) {
	i := new(pb.KeptIntroduction)
	if err := decode(r, i); err != nil {
		return nil, err
	}
	i.GetIntroduction().Revision = r.Revision
	return i, nil
}

// Block reads a block.
func Block(r store.Record) (*pb.KeptBlock, error) {
	b := new(pb.KeptBlock)
	if err := decode(r, b); err != nil {
		return nil, err
	}
	return b, nil
}

// Rehoming reads a rehoming.
func Rehoming(r store.Record) (*pb.Rehoming, error) {
	h := new(pb.Rehoming)
	if err := decode(r, h); err != nil {
		return nil, err
	}
	return h, nil
}

// Report reads a report.
func Report(r store.Record) (*pb.IntroductionReport, error) {
	p := new(pb.IntroductionReport)
	if err := decode(r, p); err != nil {
		return nil, err
	}
	return p, nil
}

// Times reads when an account did something.
func Times(r store.Record) (*pb.KeptTimes, error) {
	t := new(pb.KeptTimes)
	if err := decode(r, t); err != nil {
		return nil, err
	}
	return t, nil
}

// Delegation reads a delegation.
func Delegation(r store.Record) (*pb.Delegation, error) {
	d := new(pb.Delegation)
	if err := decode(r, d); err != nil {
		return nil, err
	}
	return d, nil
}
