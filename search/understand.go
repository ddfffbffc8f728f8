package search

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Understanding is what the words of a search say besides words.
type Understanding struct {
	// Filter is the whole filter: what it gave, and the parts that its words were
	// understood as. Its words are those left over.
	Filter *pb.LotFilter
	// Order is nearest, where they say near a place and not how near.
	Order pb.LotOrder
	// Said is each part in a few words, as "within 200 mi by road of Toledo, OH".
	Said []string
	// Unsure is what could be read two ways, or not at all, and why; it was left
	// among the words.
	Unsure []string

	given   bool // the filter gives what a clause is about
	lookups int  // names looked up so far
	// find looks a town up.
	find func(name string) (place.Town, error)
}

// Understand reads what the words of a filter say about place, distance, weight,
// price, sheet and kind: "platen within 200 miles of Toledo under 500 lb". What
// the filter gives already wins over its words. It never guesses: what could be
// two things stays among the words, and so does what is quoted. Words beyond the limits of a filter are left
// as they are, and Validate says so. The filter itself is not changed.
func Understand(f *pb.LotFilter) Understanding { return understand(f, place.Look) }

func understand(f *pb.LotFilter, find func(string) (place.Town, error)) Understanding {
	u := Understanding{Filter: proto.CloneOf(f), find: find}
	if u.Filter == nil {
		u.Filter = &pb.LotFilter{}
	}
	text := u.Filter.GetWords()
	if utf8.RuneCountInString(text) > maxWordsChars || len(strings.Fields(text)) > maxWords || !utf8.ValidString(text) {
		return u
	}
	open, phrases := hidePhrases(text)
	rest := " " + open + " "
	for _, c := range clauses {
		rest = u.take(c, rest, c.given(f))
	}
	if u.Filter.GetNear().GetWithinRoadKm() > 0 {
		u.Order = pb.LotOrder_LOT_ORDER_UNSPECIFIED
	}
	if rest != " "+open+" " {
		rest = showPhrases(rest, phrases)
		u.Filter.Words = strings.Trim(strings.Join(strings.Fields(rest), " "), " ,;")
		if len(Analyze(u.Filter.Words)) == 0 && !strings.Contains(u.Filter.Words, "*") {
			u.Filter.Words = "" // Only idle words are left, as of "anything under 500 lb".
		}
	}
	return u
}

// take reads the first clause of a sort that can be read, and returns the text
// without it. A clause about what is given is only taken out.
func (u *Understanding) take(c clause, text string, given bool) string {
	if !c.mayBeIn(text) {
		return text
	}
	for from := 0; from < len(text); {
		at := c.looks.FindStringSubmatchIndex(text[from:])
		if at == nil {
			break
		}
		aside := Understanding{Filter: proto.CloneOf(u.Filter), given: given, lookups: u.lookups, find: u.find}
		if given {
			aside.Filter = &pb.LotFilter{}
		}
		said, end, unsure := c.read(&aside, match{text: text[from:], at: at})
		u.lookups = aside.lookups
		if said != "" {
			if !given {
				u.Filter, u.Order, u.Said = aside.Filter, max(u.Order, aside.Order), append(u.Said, said)
			}
			return text[:from+at[0]] + " " + text[from+end:]
		}
		if unsure != "" && !slices.Contains(u.Unsure, unsure) {
			u.Unsure = append(u.Unsure, unsure)
		}
		from += at[1]
	}
	return text
}

// Sentence tells how a search was understood, in plain words. It is empty where
// it was taken for words and nothing else, and nothing was in doubt.
func (u Understanding) Sentence() string {
	parts := u.Said
	if words := u.Filter.GetWords(); words != "" && len(parts) > 0 {
		if !strings.Contains(words, `"`) {
			words = strconv.Quote(words) // Others have quotation marks enough.
		}
		parts = append([]string{words}, parts...)
	}
	var sentences []string
	if len(parts) > 0 {
		sentences = append(sentences, "Understood as "+strings.Join(parts, ", ")+".")
	}
	for _, doubt := range u.Unsure {
		sentences = append(sentences, "Left as words: "+doubt+".")
	}
	return strings.Join(sentences, " ")
}
