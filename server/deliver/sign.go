package deliver

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// The headers of a webhook. They, the signature and the form of a secret are
// those of the open specification Standard Webhooks 1.0, so that its libraries
// can verify what comes from here.
const (
	HeaderID        = "webhook-id"
	HeaderTimestamp = "webhook-timestamp"
	HeaderSignature = "webhook-signature"
)

// ReplayWindow is how far the time of a webhook may be from the receiver's:
// what is older may be a copy that somebody has kept. Within it a receiver knows
// a repeat by its id.
const ReplayWindow = 5 * time.Minute

const (
	secretPrefix    = "whsec_"
	signatureScheme = "v1,"
)

// secretKey is the key that a secret stands for: what is written behind whsec_
// in base64, or else the text as it is.
func secretKey(secret string) ([]byte, error) {
	coded, is := strings.CutPrefix(secret, secretPrefix)
	if !is {
		return []byte(secret), nil
	}
	key, err := base64.StdEncoding.DecodeString(coded)
	if err != nil || len(key) < 16 {
		return nil, fmt.Errorf("begins with %s, and what follows is not base64 of at least 16 bytes", secretPrefix)
	}
	return key, nil
}

// sign is the signature of a webhook: HMAC-SHA256 of id.timestamp.body.
func sign(key []byte, id, timestamp string, body []byte) string {
	h := hmac.New(sha256.New, key)
	fmt.Fprintf(h, "%s.%s.", id, timestamp)
	h.Write(body)
	return signatureScheme + base64.StdEncoding.EncodeToString(h.Sum(nil))
}

// What Verify finds wrong.
var (
	// ErrSignature says that a webhook was not signed with this secret.
	ErrSignature = errors.New("deliver: the webhook is not signed with this secret")
	// ErrReplay says that a webhook's time is outside ReplayWindow.
	ErrReplay = errors.New("deliver: the webhook's time is too far from now")
)

// Verify is for those who receive webhooks: it returns the id of a genuine and
// fresh one, or ErrSignature or ErrReplay, or what is wrong with the secret. An
// id that was seen before is a repeat of the same alert.
func Verify(secret string, h http.Header, body []byte, now time.Time) (id string, err error) {
	key, err := secretKey(secret)
	if err != nil {
		return "", fmt.Errorf("deliver: the secret %w", err)
	}
	id, timestamp := h.Get(HeaderID), h.Get(HeaderTimestamp)
	if id == "" || !anySigned(strings.Fields(h.Get(HeaderSignature)), sign(key, id, timestamp, body)) {
		return "", ErrSignature
	}
	seconds, err := strconv.ParseInt(timestamp, 10, 64)
	if err != nil {
		return "", ErrSignature
	}
	if now.Sub(time.Unix(seconds, 0)).Abs() > ReplayWindow {
		return "", ErrReplay
	}
	return id, nil
}

// anySigned looks for a signature among those that a webhook carries.
func anySigned(carried []string, right string) bool {
	found := false
	for _, one := range carried {
		found = hmac.Equal([]byte(one), []byte(right)) || found
	}
	return found
}
