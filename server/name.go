package server

import (
	"crypto/rand"
	"regexp"

	"heirpress/search/trade"
)

var (
	wantedListName = regexp.MustCompile(`^wantedLists/[a-z0-9-]{1,80}$`)
	wantID         = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)
)

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
	if s := trade.Slug(title); s != "" {
		return s + "-" + chance(5)
	}
	return chance(10)
}
