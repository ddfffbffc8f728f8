package pages

import (
	"crypto/aes"
	"crypto/cipher"
	"encoding/base64"
	"encoding/binary"
	"net/http"
	"time"
)

// sessionTime is how long a session lasts. Who revokes the token ends it at once.
const sessionTime = 12 * time.Hour

// sealer seals what a session's cookie holds: the time of signing in, and the token.
// Nobody without the key can read it or make one.
type sealer struct{ aead cipher.AEAD }

func newSealer(key []byte) (sealer, error) {
	block, err := aes.NewCipher(key)
	if err != nil {
		return sealer{}, err
	}
	aead, err := cipher.NewGCMWithRandomNonce(block)
	return sealer{aead}, err
}

func (s sealer) close(token string, at time.Time) string {
	plain := append(binary.BigEndian.AppendUint64(nil, uint64(at.Unix())), token...)
	return base64.RawURLEncoding.EncodeToString(s.aead.Seal(nil, nil, plain, nil))
}

// open is the token of a session that has not come to its end; empty for any other.
func (s sealer) open(sealed string, now time.Time) string {
	raw, err := base64.RawURLEncoding.DecodeString(sealed)
	if err != nil {
		return ""
	}
	plain, err := s.aead.Open(nil, nil, raw, nil)
	if err != nil || len(plain) < 8 {
		return ""
	}
	since := now.Sub(time.Unix(int64(binary.BigEndian.Uint64(plain)), 0))
	if since < -time.Minute || since > sessionTime {
		return ""
	}
	return string(plain[8:])
}

// isSecure tells whether browsers reach the pages over TLS.
func (s *site) isSecure() bool {
	return s.TLS || s.public != nil && s.public.Scheme == "https"
}

// cookieName has the prefix with which a browser takes the cookie from nobody else.
func (s *site) cookieName() string {
	if s.isSecure() {
		return "__Host-heirpress"
	}
	return "heirpress"
}

func (s *site) tokenOf(r *http.Request) string {
	if !s.Accounts {
		return ""
	}
	c, err := r.Cookie(s.cookieName())
	if err != nil {
		return ""
	}
	return s.seal.open(c.Value, s.Clock())
}

// keep sets the cookie of a session; an empty token ends it.
func (s *site) keep(v *visit, token string) {
	c := &http.Cookie{
		Name: s.cookieName(), Path: "/", HttpOnly: true, Secure: s.isSecure(), SameSite: http.SameSiteLaxMode,
		MaxAge: int(sessionTime / time.Second),
	}
	if token == "" {
		c.MaxAge = -1
	} else {
		c.Value = s.seal.close(token, s.Clock())
	}
	http.SetCookie(v.w, c)
}
