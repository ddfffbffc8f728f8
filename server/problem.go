package server

import (
	"fmt"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/protoadapt"
	"google.golang.org/protobuf/types/known/durationpb"
)

// Domain is the domain of every ErrorInfo that a registry answers with.
const Domain = "heirpress"

// Reasons that ErrorInfo gives. They are part of the contract: a client may
// branch on them.
const (
	ReasonInvalid      = "INVALID_FIELD"
	ReasonNotFound     = "NOT_FOUND"
	ReasonExists       = "ALREADY_EXISTS"
	ReasonStale        = "ETAG_MISMATCH"
	ReasonState        = "STATE_NOT_REACHABLE"
	ReasonReusedID     = "REQUEST_ID_REUSED"
	ReasonPageToken    = "PAGE_TOKEN_INVALID"
	ReasonNotReady     = "INDEX_NOT_READY"
	ReasonStoreAway    = "STORE_UNAVAILABLE"
	ReasonUnknown      = "OUTCOME_UNKNOWN"
	ReasonShuttingDown = "SHUTTING_DOWN"
	ReasonTooSlow      = "DEADLINE_EXCEEDED"
	ReasonSlowReader   = "SLOW_READER"
	ReasonCancelled    = "CANCELLED"
	ReasonInternal     = "INTERNAL"

	ReasonTokenNeeded    = "TOKEN_NEEDED"
	ReasonTokenRefused   = "TOKEN_REFUSED"
	ReasonTooManyGuesses = "TOO_MANY_GUESSES"
	ReasonTooManyCalls   = "TOO_MANY_CALLS"
	ReasonTooManyStreams = "TOO_MANY_STREAMS"
	ReasonScope          = "TOKEN_SCOPE"
	ReasonDenied         = "PERMISSION_DENIED"
	ReasonNoAccess       = "NO_ACCESS"
	ReasonAccountsOff    = "ACCOUNTS_OFF"
	ReasonInvitation     = "INVITATION_NEEDED"
	ReasonLastOperator   = "LAST_OPERATOR"
	ReasonTooMuch        = "TOO_MUCH"
	ReasonNoPrivateKey   = "NO_PRIVATE_KEY"
	ReasonContact        = "CONTACT_NEEDED"
	ReasonAnsweredNo     = "ANSWERED_NO"
	ReasonProof          = "PROOF_NEEDED"
	ReasonNotTaking      = "NOT_TAKING"

	ReasonUploadOffset = "UPLOAD_OFFSET"
	ReasonSlowWriter   = "SLOW_WRITER"
	ReasonPhotosAway   = "PHOTOS_UNAVAILABLE"
)

// A Problem is the one error that services answer with: what went wrong in a
// sentence, and the details that a program can act on. gRPC turns it into a
// status through GRPCStatus.
type Problem struct {
	code    codes.Code
	reason  string
	message string
	details []protoadapt.MessageV1
}

// Error is the sentence.
func (p *Problem) Error() string { return p.message }

// GRPCStatus is the problem as a status with google.rpc details.
func (p *Problem) GRPCStatus() *status.Status {
	info := &errdetails.ErrorInfo{Reason: p.reason, Domain: Domain}
	details := append([]protoadapt.MessageV1{info}, p.details...)
	st, err := status.New(p.code, p.message).WithDetails(details...)
	if err != nil {
		return status.New(p.code, p.message)
	}
	return st
}

func problem(code codes.Code, reason, format string, args ...any) *Problem {
	return &Problem{code: code, reason: reason, message: fmt.Sprintf(format, args...)}
}

func (p *Problem) with(detail protoadapt.MessageV1) *Problem {
	p.details = append(p.details, detail)
	return p
}

func notFound(kind, name string) *Problem {
	return problem(codes.NotFound, ReasonNotFound, "there is no %s %q", kind, name).
		with(&errdetails.ResourceInfo{ResourceType: kind, ResourceName: name})
}

func exists(kind, name, what string) *Problem {
	return problem(codes.AlreadyExists, ReasonExists, "%s already has %s", name, what).
		with(&errdetails.ResourceInfo{ResourceType: kind, ResourceName: name, Description: what})
}

func stale(name, now string) *Problem {
	return problem(codes.Aborted, ReasonStale, "%s has changed since it was read; read it again (its etag is now %s)", name, now).
		with(&errdetails.ResourceInfo{ResourceName: name, Description: "etag " + now})
}

func unreachable(name, message string) *Problem {
	return problem(codes.FailedPrecondition, ReasonState, "%s: %s", name, message).
		with(&errdetails.PreconditionFailure{Violations: []*errdetails.PreconditionFailure_Violation{
			{Type: "STATE", Subject: name, Description: message},
		}})
}

func invalid(field, message string) *Problem {
	return invalidFields([]*errdetails.BadRequest_FieldViolation{{Field: field, Description: message}})
}

func invalidFields(violations []*errdetails.BadRequest_FieldViolation) *Problem {
	first := violations[0]
	message := first.GetField() + ": " + first.GetDescription()
	if more := len(violations) - 1; more > 0 {
		message += fmt.Sprintf(" (and %d more)", more)
	}
	return problem(codes.InvalidArgument, ReasonInvalid, "%s", message).
		with(&errdetails.BadRequest{FieldViolations: violations})
}

func outOfRange(field string, offset, size int64) *Problem {
	p := invalid(field, fmt.Sprintf("is %d, of %d bytes: give 0 to %d", offset, size, size))
	p.code = codes.OutOfRange
	return p
}

func badPageToken() *Problem {
	p := invalid("page_token", "is not a token that was given for this request: leave it empty to start from the first page")
	p.reason = ReasonPageToken
	return p
}

func tryAgain(reason, message string, after time.Duration) *Problem {
	return problem(codes.Unavailable, reason, "%s", message).
		with(&errdetails.RetryInfo{RetryDelay: durationpb.New(after)})
}
