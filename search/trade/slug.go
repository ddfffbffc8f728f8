package trade

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

const longestSlug = 48

// Slug is text as the last part of a resource name: lower-case letters without
// accents, digits, hyphens. It is empty for text without any of them.
func Slug(text string) string {
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
