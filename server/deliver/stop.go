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

// stopPath is under which e-mail is turned off.
const stopPath = "/stop-email/"

// stopURL is the address in an e-mail that turns e-mail off.
func stopURL(public, token string) string {
	return strings.TrimSuffix(public, "/") + stopPath + token
}

// NewToken is a token that nobody can guess: 128 bits and more of chance.
func NewToken() string { return strings.ToLower(rand.Text()) }

//go:embed stop.html
var stopHTML string

var stopPage = template.Must(template.New("stop.html").Parse(stopHTML))

// page is what the page says: a question with a button, or how it stands.
type page struct {
	Title, Text string
	Ask         bool
}

var (
	askPage  = page{Title: "Turn e-mail off", Text: "No more e-mail will be sent for this wanted list. The list stays, and what turns up is kept: heirpress alerts shows it.", Ask: true}
	offPage  = page{Title: "E-mail is off", Text: "No more e-mail is sent for this wanted list. The list stays, and what turns up is kept: heirpress alerts shows it. To turn e-mail on again: heirpress want deliver --help"}
	nonePage = page{Title: "There is no such page", Text: "The address does not belong to a wanted list, or no longer. E-mail can also be turned off with heirpress want deliver LIST --off"}
	sorry    = page{Title: "That did not work", Text: "The registry has a fault of its own. Please try again later; nothing has been changed."}
)

// Web is the pages that a registry has for people without the program: the one
// that turns e-mail off. What looks at it changes nothing; a POST, from the
// button or from a mail program as RFC 8058 has it, turns e-mail off, however
// often.
func Web(s store.Store, log *slog.Logger) http.Handler {
	w := web{s, log}
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+stopPath+"{token}", w.ask)
	mux.HandleFunc("POST "+stopPath+"{token}", w.stop)
	mux.HandleFunc("/", func(to http.ResponseWriter, _ *http.Request) { w.show(to, http.StatusNotFound, nonePage) })
	return mux
}

type web struct {
	store store.Store
	log   *slog.Logger
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

// show writes a page. Nothing of it may be kept, framed or told to another site:
// the address is a secret.
func (w web) show(to http.ResponseWriter, status int, p page) {
	var body bytes.Buffer
	if err := stopPage.Execute(&body, p); err != nil {
		status, body = http.StatusInternalServerError, *bytes.NewBufferString(sorry.Title)
	}
	h := to.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
	h.Set("Cache-Control", "no-store")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Robots-Tag", "noindex")
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
