package sheet

import (
	"regexp"
	"strings"
	"unicode"

	pb "heirpress/proto/heirpress/v1"
)

var (
	// besidesRE is where a title goes on to what its thing has, or is for.
	besidesRE = regexp.MustCompile(`[,;:(–—]| - | (?i:for|with|in|on|from|to|w/) `)
	// mixedRE joins two things, or puts one inside the other.
	mixedRE = regexp.MustCompile(` (?i:of|and|&|\+|/) `)
)

// kindOfTitle is the kind and class that a title names for certain, or zero. It
// is certain of the words that a title begins with and that are all a class or
// kind, "Composing sticks for newspapers", and of two such words or more at the
// end of them, "Corwen platen jobber, 8x12". It is not of "Box of wood type".
func kindOfTitle(title string) (pb.Kind, pb.Class) {
	head := title
	if at := besidesRE.FindStringIndex(head); at != nil {
		head = head[:at[0]]
	}
	if at := mixedRE.FindStringIndex(head); at != nil {
		before := strings.Fields(head[:at[0]])
		if strings.Contains(strings.ToLower(head[at[0]:at[1]]), "of") || namesAny(before) {
			return 0, 0
		}
	}
	words := strings.Fields(head)
	for len(words) > 0 && strings.ContainsFunc(words[len(words)-1], unicode.IsDigit) {
		words = words[:len(words)-1]
	}
	for i := range words {
		kind, class, err := kindOrClass(strings.Join(words[i:], " "))
		if err == nil && (i == 0 || len(words)-i > 1) {
			return kind, class
		}
	}
	return 0, 0
}

// namesAny tells whether any of the words is a kind or class.
func namesAny(words []string) bool {
	for _, w := range words {
		if _, _, err := kindOrClass(w); err == nil {
			return true
		}
	}
	return false
}
