package deliver

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"

	"google.golang.org/protobuf/encoding/protojson"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/notice"
)

const (
	hookTime    = 20 * time.Second // for a whole call
	hookDial    = 10 * time.Second
	hookAnswer  = 64 << 10 // bytes of an answer that are read; the rest is left
	hookHeaders = 16 << 10
)

// hooks sends webhooks.
type hooks struct {
	rules  Rules
	client *http.Client
}

// newHooks calls only what the rules allow. A resolver of nil is the machine's.
func newHooks(r Rules, resolver *net.Resolver) *hooks {
	dialer := &net.Dialer{Timeout: hookDial, Resolver: resolver}
	if !r.Private {
		dialer.Control = onlyTo(isPublic)
	}
	return newHooksBy(r, dialer)
}

// newHooksBy takes no proxy from the environment: behind one nobody could tell
// which address is called.
func newHooksBy(r Rules, dialer *net.Dialer) *hooks {
	return &hooks{rules: r, client: &http.Client{
		Timeout:       hookTime,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		Transport: &http.Transport{
			DialContext: dialer.DialContext, DisableKeepAlives: true, DisableCompression: true, ForceAttemptHTTP2: true,
			TLSHandshakeTimeout: hookDial, MaxResponseHeaderBytes: hookHeaders,
		},
	}}
}

// send posts the alert of a job.
func (h *hooks) send(ctx context.Context, j *job) error {
	d := j.kept.GetDelivery()
	if err := h.rules.checkURL(d.GetWebhookUrl()); err != nil {
		return permanent{fmt.Errorf("the webhook's address %w", err)}
	}
	if len(j.alerts) == 0 {
		return permanent{errors.New("there is no such alert any more")}
	}
	body, err := alertJSON(j.alerts[0], j.now)
	if err != nil {
		return permanent{err}
	}
	req, err := request(ctx, d, ID(j.dispatch), j.now, body)
	if err != nil {
		return permanent{err}
	}
	answer, err := h.client.Do(req)
	if errors.Is(err, errPrivate) {
		return permanent{errPrivate}
	}
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	io.CopyN(io.Discard, answer.Body, hookAnswer) //nolint:errcheck // the status has come, and that is the answer
	return judgeAnswer(answer.StatusCode)
}

// request is a signed call.
func request(ctx context.Context, d *pb.Delivery, id string, now time.Time, body []byte) (*http.Request, error) {
	key, err := secretKey(d.GetWebhookSecret())
	if err != nil {
		return nil, fmt.Errorf("the webhook's secret %w", err)
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, d.GetWebhookUrl(), bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	timestamp := strconv.FormatInt(now.Unix(), 10)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("User-Agent", "heirpress")
	req.Header.Set(HeaderID, id)
	req.Header.Set(HeaderTimestamp, timestamp)
	req.Header.Set(HeaderSignature, sign(key, id, timestamp, body))
	return req, nil
}

// judgeAnswer says what an answer means: taken, gone for good, not meant for
// this, or to be tried again.
func judgeAnswer(status int) error {
	err := fmt.Errorf("the webhook answered %d %s", status, http.StatusText(status))
	switch {
	case status >= 200 && status <= 299:
		return nil
	case status == http.StatusGone:
		return permanent{err}
	case status >= 300 && status <= 399:
		return permanent{fmt.Errorf("%w, and is not followed elsewhere", err)}
	}
	return err
}

// alertJSON is an alert in the contract's JSON mapping, as it is told today. The
// library varies its spacing on purpose, and that is taken out.
func alertJSON(a *pb.Alert, now time.Time) ([]byte, error) {
	notice.Fill(a, now.UTC())
	raw, err := protojson.Marshal(a)
	if err != nil {
		return nil, err
	}
	var line bytes.Buffer
	err = json.Compact(&line, raw)
	return line.Bytes(), err
}

// ID is the id of a dispatch, which the other side sees and the operator types.
func ID(d *pb.Dispatch) string { return strings.TrimPrefix(d.GetName(), "dispatches/") }
