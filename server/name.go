package server

import (
	"crypto/rand"
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

var (
	wantedListName = regexp.MustCompile(`^wantedLists/[a-z0-9-]{1,80}$`)
	wantID         = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)
)

const longestSlug = 48

// slug is text as the last part of a resource name: lower-case letters without
// accents, digits, hyphens. It is empty for text without any of them.
func slug(text string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(norm.NFKD.String(text)) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r), r == '\'', r == '’':
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	s := b.String()
	return strings.Trim(s[:min(len(s), longestSlug)], "-")
}

// letters has no vowels, so that chance spells no word, and nothing that is
// easily misread.
const letters = "23456789bcdfghjkmnpqrstvwxz"

// chance is n letters that nobody can foretell.
func chance(n int) string {
	raw := make([]byte, n)
	rand.Read(raw) //nolint:errcheck // never fails
	for i, b := range raw {
		raw[i] = letters[int(b)%len(letters)]
	}
	return string(raw)
}

// newID is a readable and unique last part for a resource of that title.
func newID(title string) string {
	if s := slug(title); s != "" {
		return s + "-" + chance(5)
	}
	return chance(10)
}
