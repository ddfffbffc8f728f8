package deliver

import (
	"bytes"
	"context"
	"crypto/rand"
	_ "embed"
	"errors"
	"html/template"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/server/store"
)

// StopPath is under which e-mail is turned off.
const StopPath = "/stop-email/"

// ConfirmPath is under which an address is confirmed.
const ConfirmPath = "/confirm-email/"

// confirmURL is the address in an e-mail that confirms the e-mail address.
func confirmURL(public, token, code string) string {
	return strings.TrimSuffix(public, "/") + ConfirmPath + token + "/" + code
}

// stopURL is the address in an e-mail that turns e-mail off.
func stopURL(public, token string) string {
	return strings.TrimSuffix(public, "/") + StopPath + token
}

// NewToken is a token that nobody can guess: 128 bits and more of chance.
func NewToken() string { return strings.ToLower(rand.Text()) }

//go:embed stop.html
var stopHTML string

var stopPage = template.Must(template.New("stop.html").Parse(stopHTML))

// page is what the page says: a question with a button, or how it stands.
type page struct {
	Title, Text string
	Ask         string // what the button says; empty: there is none
}

var (
	askPage     = page{Title: "Turn e-mail off", Text: "No more e-mail will be sent for this wanted list. The list stays, and what turns up is kept: heirpress alerts shows it.", Ask: "Turn e-mail off"}
	offPage     = page{Title: "E-mail is off", Text: "No more e-mail is sent for this wanted list. The list stays, and what turns up is kept: heirpress alerts shows it. To turn e-mail on again: heirpress want deliver --help"}
	nonePage    = page{Title: "There is no such page", Text: "The address does not belong to a wanted list, or no longer. E-mail can also be turned off with heirpress want deliver LIST --off"}
	confirmPage = page{Title: "Is this address yours?", Text: "Alerts of what turns up for a wanted list will be sent to your address. Each carries a way to turn them off.", Ask: "Yes, send me alerts"}
	onPage      = page{Title: "E-mail is on", Text: "Alerts are sent to your address. Each carries a way to turn them off."}
	latePage    = page{Title: "It is too late", Text: "The question was put more than a week ago, and nothing is sent. To be asked again: heirpress want deliver LIST --email ADDRESS"}
	sorry       = page{Title: "That did not work", Text: "The registry has a fault of its own. Please try again later; nothing has been changed."}
)

// Web is the pages that a registry has for people without the program: the one
// that turns e-mail off, and the one that confirms an address. What looks at them
// changes nothing, for mail programs and filters look at what is in an e-mail; a
// POST, from the button or, to turn e-mail off, from a mail program as RFC 8058 has
// it, does what the page says, however often.
func Web(s store.Store, log *slog.Logger) http.Handler {
	w := web{s, log, time.Now}
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+StopPath+"{token}", w.ask)
	mux.HandleFunc("POST "+StopPath+"{token}", w.stop)
	mux.HandleFunc("GET "+ConfirmPath+"{token}/{code}", w.question)
	mux.HandleFunc("POST "+ConfirmPath+"{token}/{code}", w.confirm)
	mux.HandleFunc("/", func(to http.ResponseWriter, _ *http.Request) { w.show(to, http.StatusNotFound, nonePage) })
	return mux
}

type web struct {
	store store.Store
	log   *slog.Logger
	now   func() time.Time
}

func (w web) question(to http.ResponseWriter, r *http.Request) {
	kept, err := keptBy(r.Context(), w.store, r.PathValue("token"))
	if err != nil {
		w.fail(to, err)
		return
	}
	w.showStanding(to, standingOf(kept, r.PathValue("code"), w.now()), kept.GetDelivery())
}

func (w web) confirm(to http.ResponseWriter, r *http.Request) {
	how, err := confirmEmail(r.Context(), w.store, r.PathValue("token"), r.PathValue("code"), w.now())
	if err != nil {
		w.fail(to, err)
		return
	}
	w.showStanding(to, how, nil)
}

// showStanding shows how it stands with a confirmation; of a delivery, where one is
// given, also that e-mail is off.
func (w web) showStanding(to http.ResponseWriter, how standing, d *pb.Delivery) {
	switch {
	case how == mayConfirm:
		w.show(to, http.StatusOK, confirmPage)
	case how == tooLate:
		w.show(to, http.StatusGone, latePage)
	case how == noSuchCode:
		w.show(to, http.StatusNotFound, nonePage)
	case d != nil && !wantsEmail(d):
		w.show(to, http.StatusOK, offPage)
	default:
		w.show(to, http.StatusOK, onPage)
	}
}

func (w web) ask(to http.ResponseWriter, r *http.Request) {
	found, err := w.store.Find(r.Context(), store.Deliveries, "", r.PathValue("token"))
	if err != nil {
		w.fail(to, err)
		return
	}
	kept, err := Kept(found)
	switch {
	case err != nil:
		w.fail(to, err)
	case wantsEmail(kept.GetDelivery()):
		w.show(to, http.StatusOK, askPage)
	default:
		w.show(to, http.StatusOK, offPage)
	}
}

func (w web) stop(to http.ResponseWriter, r *http.Request) {
	if err := stopEmail(r.Context(), w.store, r.PathValue("token")); err != nil {
		w.fail(to, err)
		return
	}
	w.show(to, http.StatusOK, offPage)
}

func (w web) fail(to http.ResponseWriter, err error) {
	if errors.Is(err, store.ErrNotFound) {
		w.show(to, http.StatusNotFound, nonePage)
		return
	}
	w.log.Error("web: e-mail not turned off", "error", err)
	w.show(to, http.StatusInternalServerError, sorry)
}

// SecretPage sets the head of a page whose address is a secret: nothing of it may be
// kept, framed or told to another site.
func SecretPage(h http.Header) {
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
	h.Set("Cache-Control", "no-store")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Robots-Tag", "noindex")
}

// show writes a page.
func (w web) show(to http.ResponseWriter, status int, p page) {
	var body bytes.Buffer
	if err := stopPage.Execute(&body, p); err != nil {
		status, body = http.StatusInternalServerError, *bytes.NewBufferString(sorry.Title)
	}
	SecretPage(to.Header())
	to.WriteHeader(status)
	to.Write(body.Bytes()) //nolint:errcheck // whoever asked has gone
}

// stopEmail turns e-mail off for the list of a token, or returns
// store.ErrNotFound. To do it again changes nothing.
func stopEmail(ctx context.Context, s store.Store, token string) error {
	return s.Write(ctx, func(tx store.Tx) error {
		r, err := tx.Find(ctx, store.Deliveries, "", token)
		if err != nil {
			return err
		}
		kept, err := Kept(r)
		if err != nil || !wantsEmail(kept.GetDelivery()) {
			return err
		}
		stopped(kept, tx.Now())
		if r, err = Record(kept); err != nil {
			return err
		}
		_, err = tx.Update(ctx, r)
		return err
	})
}

func stopped(k *pb.KeptDelivery, now time.Time) {
	k.Delivery.Digest = pb.Digest_DIGEST_NONE
	k.Delivery.EmailStoppedTime, k.Delivery.UpdateTime = timestamppb.New(now), timestamppb.New(now)
}
