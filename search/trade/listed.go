package trade

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// longestList is how many things a reason names.
const longestList = 12

// list writes a bill as "E 3, Q 1", the most first.
func (b Bill) list() string {
	sorts := b.Sorts()
	slices.SortStableFunc(sorts, func(x, y string) int { return cmp.Or(b[y]-b[x], marksLast(x, y)) })
	for i, s := range sorts {
		sorts[i] = fmt.Sprintf("%s %d", sortName(s), b[s])
	}
	return listed(sorts)
}

// markNames are what marks are called, for a list that has commas of its own.
var markNames = map[string]string{
	".": "full stop", ",": "comma", ";": "semicolon", ":": "colon", "-": "hyphen", "'": "apostrophe",
	"!": "exclamation mark", "?": "question mark", "&": "ampersand", "$": "dollar", "£": "pound",
}

// sortName is a sort as it is written in a list.
func sortName(sort string) string {
	if name, ok := markNames[sort]; ok {
		return name
	}
	return sort
}

// sortNames writes sorts as a list, letters before marks.
func sortNames(sorts []string) []string {
	slices.SortStableFunc(sorts, marksLast)
	names := make([]string, len(sorts))
	for i, s := range sorts {
		names[i] = sortName(s)
	}
	return names
}

func marksLast(a, b string) int {
	return cmp.Compare(min(len(markNames[a]), 1), min(len(markNames[b]), 1))
}

// listed writes a list with commas, the first so many of it.
func listed(words []string) string {
	if len(words) <= longestList {
		return strings.Join(words, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(words[:longestList], ", "), len(words)-longestList)
}
