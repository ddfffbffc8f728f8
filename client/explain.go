package client

import (
	"errors"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// FieldProblem is a field that a registry found wrong, and why.
type FieldProblem struct {
	// Field is its path in the request.
	Field string
	// Message says what would be right.
	Message string
}

// FieldProblems is every field that an error names; none for another error.
func FieldProblems(err error) []FieldProblem {
	bad, ok := detail[*errdetails.BadRequest](err)
	if !ok {
		return nil
	}
	var problems []FieldProblem
	for _, v := range bad.GetFieldViolations() {
		problems = append(problems, FieldProblem{Field: v.GetField(), Message: v.GetDescription()})
	}
	return problems
}

func detail[T any](err error) (found T, ok bool) {
	st, isStatus := status.FromError(err)
	if !isStatus {
		return found, false
	}
	for _, d := range st.Details() {
		if found, ok = d.(T); ok {
			return found, true
		}
	}
	return found, false
}

// Explain is an error in words for the person at the keyboard.
func Explain(err error) string {
	st, isStatus := status.FromError(err)
	if !isStatus {
		return err.Error()
	}
	if problems := FieldProblems(err); len(problems) > 0 {
		lines := make([]string, len(problems))
		for i, p := range problems {
			lines[i] = strings.TrimSpace(plainField(p.Field) + ": " + p.Message)
		}
		return strings.Join(lines, "\n")
	}
	if _, ours := detail[*errdetails.ErrorInfo](err); !ours {
		return explainTransport(st)
	}
	return st.Message()
}

// explainTransport is an error that no registry has answered with: the call did
// not come that far.
func explainTransport(st *status.Status) string {
	switch st.Code() {
	case codes.Unavailable:
		return "the server cannot be reached: " + plainTransport(st.Message())
	case codes.DeadlineExceeded:
		return "the server did not answer in time"
	case codes.Canceled:
		return "stopped before the server had answered"
	}
	return st.Message()
}

// aroundTransport is what gRPC puts around the cause of a failed connection.
var aroundTransport = strings.NewReplacer(`transport: `, "", `Error while dialing: `, "", `authentication handshake failed: `, "", `"`, "")

// hints say what to do about what a failed connection tells of, in part of its
// message.
var hints = []struct{ sign, hint string }{
	{"certificate required", "it wants a certificate of yours: give --tls-cert and --tls-key"},
	{"error reading server preface", "it may want TLS: give --ca with the file of the authority to trust"},
	{"first record does not look like a TLS handshake", "it does not speak TLS: if the network is yours, add --plaintext and leave out --ca"},
	{"certificate signed by unknown authority", "if you trust its maker, give --ca with that authority's file"},
}

func plainTransport(message string) string {
	if i := strings.LastIndex(message, "desc = "); i >= 0 {
		message = message[i+len("desc = "):]
	}
	plain := aroundTransport.Replace(message)
	for _, h := range hints {
		if strings.Contains(message, h.sign) {
			return plain + "; " + h.hint
		}
	}
	return plain
}

// plainField is a field's path as a person reads it: the field of the contract
// without the message around it.
func plainField(path string) string {
	for _, around := range []string{"shop.", "lot.", "wanted_list.", "delivery.", "filter.", "account.", "token.", "delegation."} {
		path = strings.TrimPrefix(path, around)
	}
	return strings.ReplaceAll(path, "_", " ")
}

// Code is the gRPC code of an error, codes.Unknown for one that has none.
func Code(err error) codes.Code {
	var st interface{ GRPCStatus() *status.Status }
	if errors.As(err, &st) {
		return st.GRPCStatus().Code()
	}
	return codes.Unknown
}
