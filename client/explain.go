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
	if st.Code() == codes.Unavailable {
		if _, ours := detail[*errdetails.ErrorInfo](err); !ours {
			return "the server cannot be reached: " + st.Message()
		}
	}
	return st.Message()
}

// plainField is a field's path as a person reads it: the field of the contract
// without the message around it.
func plainField(path string) string {
	for _, around := range []string{"shop.", "lot.", "wanted_list.", "filter."} {
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
