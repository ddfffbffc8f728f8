package access

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"strings"

	"heirpress/server/store"
)

// A secret is a text that lets its bearer in: a mark that says what it is, the id
// under which its hash is kept, and 256 random bits.
//
//	heirpress_4kx9mw2prt7h_q0Xc…43 characters
//
// The mark is there for whoever finds one in the wrong place, a person or a
// program that looks for forgotten secrets.
//
// What is kept is the SHA-256 of the bits. A slow hash is for what people think
// up, which can be guessed; 256 random bits cannot be tried one by one, however
// fast each try is, and a slow hash would only make every call slow.
type secret struct {
	id   string
	bits []byte
}

// The marks of secrets.
const (
	tokenMark      = "heirpress_"
	invitationMark = "heirpress-invitation_"
)

const (
	secretBytes = 32
	idLength    = 12
)

// secretText is how the bits are written: strictly, so that a secret has one
// spelling.
var secretText = base64.RawURLEncoding.Strict()

func newSecret() secret {
	bits := make([]byte, secretBytes)
	rand.Read(bits) //nolint:errcheck // never fails
	return secret{id: randomID(), bits: bits}
}

// idLetters has no vowels, so that chance spells no word, and nothing that is
// easily misread. There are 27 of them: an id has 57 random bits.
const idLetters = "23456789bcdfghjkmnpqrstvwxz"

func randomID() string {
	raw := make([]byte, idLength)
	rand.Read(raw) //nolint:errcheck // never fails
	for i, b := range raw {
		raw[i] = idLetters[int(b)%len(idLetters)]
	}
	return string(raw)
}

func (s secret) text(mark string) string {
	return mark + s.id + "_" + secretText.EncodeToString(s.bits)
}

func (s secret) hash() []byte {
	sum := sha256.Sum256(s.bits)
	return sum[:]
}

// is tells whether a secret has a hash, in a time that does not depend on where
// the two differ.
func (s secret) is(hash []byte) bool { return subtle.ConstantTimeCompare(s.hash(), hash) == 1 }

// keptFor is the record of the secret that was shown, under names that begin with a
// prefix. Where there is none it is empty: so is the hash in it, which no secret has.
func keptFor(ctx context.Context, from store.Reader, mark, text, prefix string) (s secret, r store.Record, ok bool, err error) {
	if s, ok = readSecret(mark, text); !ok {
		return s, r, false, nil
	}
	if r, err = from.Get(ctx, prefix+s.id); errors.Is(err, store.ErrNotFound) {
		err = nil
	}
	return s, r, true, err
}

// readSecret takes a text apart, and tells whether it is a secret of that mark.
func readSecret(mark, text string) (secret, bool) {
	rest, marked := strings.CutPrefix(text, mark)
	id, bits, parted := strings.Cut(rest, "_")
	if !marked || !parted || len(id) != idLength {
		return secret{}, false
	}
	raw, err := secretText.DecodeString(bits)
	return secret{id: id, bits: raw}, err == nil && len(raw) == secretBytes
}
