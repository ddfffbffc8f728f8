package trade

import (
	"strings"

	"golang.org/x/text/unicode/norm"
)

// FoldTitle is the key of a title: two titles that differ only in case or in
// the amount of spacing are the same.
func FoldTitle(title string) string {
	return strings.Join(strings.Fields(strings.ToLower(norm.NFKC.String(title))), " ")
}

// FoldTag is the key of a tag: two tags that differ only in case or in spacing
// are the same, as people write "P 3" and "p3" on masking tape.
func FoldTag(tag string) string {
	return strings.ReplaceAll(FoldTitle(tag), " ", "")
}
