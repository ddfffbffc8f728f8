package trade

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// sortsInstead are the characters of a text that are set with another sort.
var sortsInstead = strings.NewReplacer(
	"’", "'", "‘", "'", "ʼ", "'", "–", "-", "‐", "-", "‑", "-", "\u00ad", "", "…", "...", "ﬁ", "fi", "ﬂ", "fl", "ﬀ", "ff", "ﬃ", "ffi", "ﬄ", "ffl",
)

// Needed is the bill of type that a text takes, letter by letter. Spaces and
// ends of lines take no sorts: spacing material is another matter. Capitals and
// lower case are different sorts.
func Needed(text string) Bill {
	b := Bill{}
	for _, r := range norm.NFC.String(sortsInstead.Replace(text)) {
		if !unicode.IsSpace(r) && unicode.IsPrint(r) {
			b[string(r)]++
		}
	}
	return b
}

// Set tells whether a fount can set a text, and what it is short of: an empty
// bill means that it can. Ligatures serve where the text has their letters, as
// well as they can be placed; what is short is given in single letters. Of three
// f's in a row, as German compounds have them, the last two may be a ligature.
func Set(have Bill, text string) (short Bill) {
	needed := Needed(text)
	short = have.Short(needed)
	if len(short) == 0 || short["f"]+short["i"]+short["l"] == 0 {
		return short
	}
	best := short
	for _, saved := range spotsOf(text).placings(have) {
		if s := have.Short(needed.less(saved)); s.Pieces() < best.Pieces() {
			best = s
		}
	}
	return best
}

// less is a bill without what another has.
func (b Bill) less(other Bill) Bill {
	rest := Bill{}
	for s, n := range b {
		if n -= other[s]; n > 0 {
			rest[s] = n
		}
	}
	return rest
}

// spots are the places of a text where a ligature could stand.
type spots struct{ ff, fi, fl, ffi, ffl int }

func spotsOf(text string) spots {
	t := norm.NFC.String(sortsInstead.Replace(text))
	var s spots
	s.ffi, t = cutAll(t, "ffi")
	s.ffl, t = cutAll(t, "ffl")
	s.ff, t = cutAll(t, "ff")
	s.fi, t = cutAll(t, "fi")
	s.fl, _ = cutAll(t, "fl")
	return s
}

// cutAll counts the places of a ligature and breaks the text there.
func cutAll(text, ligature string) (int, string) {
	n := strings.Count(text, ligature)
	return n, strings.ReplaceAll(text, ligature, " ")
}

// placings returns the letters that ligatures save, for every way of placing the
// two-letter ones in the three-letter spots that is worth a try. A three-letter
// ligature fits nowhere else and saves the most, so it always stands where it
// can.
func (s spots) placings(have Bill) []Bill {
	ffi, ffl := min(have["ffi"], s.ffi), min(have["ffl"], s.ffl)
	openI, openL := s.ffi-ffi, s.ffl-ffl
	var all []Bill
	for ffInI := range min(have["ff"], openI) + 1 {
		for ffInL := range min(have["ff"]-ffInI, openL) + 1 {
			ff := ffInI + ffInL + min(have["ff"]-ffInI-ffInL, s.ff)
			fi := min(have["fi"], s.fi+openI-ffInI)
			fl := min(have["fl"], s.fl+openL-ffInL)
			all = append(all, Bill{
				"f": 2*ffi + 2*ffl + 2*ff + fi + fl,
				"i": ffi + fi,
				"l": ffl + fl,
			})
		}
	}
	return all
}
