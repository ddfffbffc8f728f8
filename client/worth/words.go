package worth

import (
	"strings"
	"unicode"

	pb "heirpress/proto/heirpress/v1"
)

// wordsOf are the words of a title that say what a thing is: four letters or
// more, in the singular, and none that goes with anything.
func wordsOf(title string) map[string]bool {
	words := map[string]bool{}
	for w := range strings.FieldsFuncSeq(strings.ToLower(title), func(r rune) bool { return !unicode.IsLetter(r) }) {
		if w = strings.TrimSuffix(w, "s"); len(w) >= 4 && !anyThing[w] {
			words[w] = true
		}
	}
	return words
}

// anyThing are words that make no two things alike. A design choice.
var anyThing = map[string]bool{
	"with": true, "from": true, "some": true, "good": true, "large": true, "small": true, "several": true, "various": true, "assorted": true, "mixed": true,
	"boxe": true, "case": true, "drawer": true, "full": true, "part": true, "complete": true, "working": true, "printer": true, "printing": true, "letterpres": true,
	"wood": true, "wooden": true, "steel": true, "iron": true, "brass": true, "cast": true, "black": true, "about": true, "size": true, "sort": true, "kind": true, "iten": true, "other": true,
}

// unlike are kinds that hold things of every sort, where there is no class to go
// by: only titles that share a word are compared.
var unlike = map[pb.Kind]bool{
	pb.Kind_KIND_CUTS: true, pb.Kind_KIND_ORNAMENTS: true, pb.Kind_KIND_SPACING: true, pb.Kind_KIND_CABINETS: true, pb.Kind_KIND_CASTERS: true,
	pb.Kind_KIND_CUTTERS: true, pb.Kind_KIND_BINDERY: true, pb.Kind_KIND_TOOLS: true, pb.Kind_KIND_OTHER: true,
}

func share(a, b map[string]bool) bool {
	for w := range a {
		if b[w] {
			return true
		}
	}
	return false
}
