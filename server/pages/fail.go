package pages

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// refusal is an answer that is a page and no more.
type refusal struct {
	status     int
	title, why string
}

// Error is what the page says.
func (r *refusal) Error() string { return r.title + ": " + r.why }

var (
	errElsewhere = &refusal{http.StatusForbidden, "Sent from another site", "What you sent came from a page of another site, and nothing was changed. Do it from the pages here."}
	errNotHere   = &refusal{http.StatusMisdirectedRequest, "Not under this name", "This registry has no accounts, and its pages are for this machine alone: ask for localhost."}
	errNothing   = &refusal{http.StatusNotFound, "There is no such page", "It may have been withdrawn, or the address may be mistyped."}
)

func (s *site) nothing(*visit) error { return errNothing }

// words are the answers that calls may end with, as pages.
var words = map[codes.Code]refusal{
	codes.NotFound:           {http.StatusNotFound, errNothing.title, errNothing.why},
	codes.InvalidArgument:    {http.StatusBadRequest, "That could not be read", ""},
	codes.AlreadyExists:      {http.StatusConflict, "There is one already", ""},
	codes.Aborted:            {http.StatusConflict, "Somebody was quicker", "It has changed since you looked at it. Go back, load the page again, and see whether you still want to change it."},
	codes.FailedPrecondition: {http.StatusConflict, "That cannot be done now", ""},
	codes.PermissionDenied:   {http.StatusForbidden, "That is not yours to do", ""},
	codes.ResourceExhausted:  {http.StatusTooManyRequests, "Too much at once", ""},
	codes.Unavailable:        {http.StatusServiceUnavailable, "Not just now", "The registry cannot answer at present. Please try again in a minute."},
	codes.DeadlineExceeded:   {http.StatusGatewayTimeout, "It took too long", "The registry did not answer in time. Please try again, or ask for less."},
	codes.Canceled:           {http.StatusServiceUnavailable, "Not just now", "The call was broken off. Please try again."},
}

// internal is what is told of a fault of ours.
var internal = refusal{http.StatusInternalServerError, "That did not work", "The registry has a fault of its own, and its log says more. Please try again later."}

// refusalOf is the page for an error. What has no words of its own says those that
// the registry answered with.
func refusalOf(err error) refusal {
	var r *refusal
	if errors.As(err, &r) {
		return *r
	}
	st := status.Convert(err)
	p, known := words[st.Code()]
	if !known {
		return internal
	}
	if p.why == "" {
		p.why = saying(err)
	}
	return p
}

// saying is what a registry says is wrong, without the names of the contract's fields.
func saying(err error) string {
	bad, is := detail[*errdetails.BadRequest](err)
	if !is {
		return sentence(status.Convert(err).Message())
	}
	var all []string
	for _, v := range bad.GetFieldViolations() {
		if v.GetField() == "page_token" {
			return "This is no page of that list, or no longer. Begin with the first."
		}
		all = append(all, sentence(v.GetDescription()))
	}
	return strings.Join(all, " ")
}

// fail answers with the page for an error. Whose session has ended signs in again.
func (s *site) fail(v *visit, err error) {
	if s.Accounts && status.Code(err) == codes.Unauthenticated {
		s.keep(v, "")
		here := "/"
		if v.r.Method == http.MethodGet {
			here = v.r.URL.RequestURI()
		}
		http.Redirect(v.w, v.r, "/sign-in?"+url.Values{"next": {here}}.Encode(), http.StatusSeeOther)
		return
	}
	p := refusalOf(err)
	if p.status == http.StatusInternalServerError {
		s.Log.Error("pages: no page", "path", v.r.URL.Path, "error", err)
	}
	if after := retryAfter(err); after > 0 {
		v.w.Header().Set("Retry-After", strconv.Itoa(int(after/time.Second)))
	}
	s.show(v, p.status, "refusal", view{Title: p.title, Body: p.why})
}

func retryAfter(err error) time.Duration {
	info, _ := detail[*errdetails.RetryInfo](err)
	return info.GetRetryDelay().AsDuration()
}

func detail[T any](err error) (found T, ok bool) {
	for _, d := range status.Convert(err).Details() {
		if found, ok = d.(T); ok {
			return found, true
		}
	}
	return found, false
}

// wrongs are what is wrong with the fields of a form, by their names.
type wrongs map[string]string

// wrongsOf is what a registry found wrong, by the fields of a form, with names for
// the contract's fields; and whether every violation has a field in the form.
func wrongsOf(err error, names map[string]string) (w wrongs, all bool) {
	bad, is := detail[*errdetails.BadRequest](err)
	if !is || status.Code(err) != codes.InvalidArgument {
		return nil, false
	}
	w = wrongs{}
	for _, v := range bad.GetFieldViolations() {
		name := names[v.GetField()]
		if name == "" {
			return w, false
		}
		w[name] = sentence(v.GetDescription())
	}
	return w, len(w) > 0
}
