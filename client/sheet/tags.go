package sheet

import (
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"strings"

	"heirpress/search/trade"
)

// tagLetters leaves out I, L, O and U, which are misread on masking tape.
var tagLetters = base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").WithPadding(base32.NoPadding)

// tagLength is how many letters a made tag has: 30 bits, so that two rows out
// of 1,000 share them once in 2,000 sheets. Then the later gets one more.
const tagLength = 6

// tagColumns are what a made tag is made from.
var tagColumns = []string{"title", "make", "model", "serial", "size"}

// giveTags finds tags that are there twice, and makes tags for rows without.
func giveTags(drafts []*draft) {
	owner := map[string]*draft{}
	for _, d := range drafts {
		if d.unread() || d.values["tag"].blank() {
			continue
		}
		key := trade.FoldTag(d.values["tag"].text)
		if first, twice := owner[key]; twice {
			d.wrong("tag", fmt.Sprintf("%q is already the tag of %s: give each lot a tag of its own", d.values["tag"].text, where(first.number, first.inYAML)))
			continue
		}
		owner[key] = d
	}
	alike := map[string]int{}
	for _, d := range drafts {
		if d.unread() || !d.values["tag"].blank() {
			continue
		}
		words := d.words()
		d.again = alike[words]
		alike[words]++
		d.lot.Tag, d.tagMade = makeTag(words, d.again, owner), true
		owner[trade.FoldTag(d.lot.Tag)] = d
	}
}

// words are what a made tag is made from, so that spacing and case do not matter.
func (d *draft) words() string {
	var b strings.Builder
	for _, c := range tagColumns {
		b.WriteString(fold(d.values[c].text))
		b.WriteByte(0)
	}
	return b.String()
}

// makeTag makes a tag that is not taken: U for untagged, and letters that follow
// from the row's words and from how many rows like it came before.
func makeTag(words string, again int, taken map[string]*draft) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s%d", words, again))
	letters := tagLetters.EncodeToString(sum[:])
	n := tagLength
	for taken[trade.FoldTag("U-"+letters[:n])] != nil {
		n++
	}
	return "U-" + letters[:n]
}
