package search

import (
	"cmp"
	"context"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/RoaringBitmap/roaring/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
)

// A slip of the keyboard is mended before a search, in its words: what a filter
// means does not change, and an alert never fires on a slip. Only a word that
// occurs nowhere is mended, so nothing that was found before is lost, and what
// is written right always comes first.

// Mended is a word of a search that occurs nowhere, and what it was taken for.
type Mended struct {
	// Typed is the word as it was typed.
	Typed string
	// Taken is the word, or the two words, that took its place.
	Taken string
}

// mostMended is how many words of a search are mended, at most.
const mostMended = 8

// slips is how many slips a word of so many letters may have; two letters that
// changed places are one.
func slips(letters int) int {
	switch {
	case letters >= 8:
		return 2
	case letters >= 4:
		return 1
	}
	return 0
}

// wordRE finds words that are all letters.
var wordRE = regexp.MustCompile(`[\p{L}\p{N}][\p{L}\p{M}\p{N}'’]*`)

// Mend takes each word that occurs neither in the index nor in the vocabulary
// for the one most like it that finds something: one slip away, or two for words of eight
// letters and more. Words shorter than four letters, or with figures in them,
// stay, and so do words shorter than six where no lot would have all the words
// then. It returns the words to search by, and what was mended.
func (x *Index) Mend(ctx context.Context, words string) (string, []Mended, error) {
	if len(Validate(wordsAlone(words))) > 0 {
		return words, nil, nil // The search will say what is wrong.
	}
	mended, taken := "", []Mended(nil)
	err := x.lookUpWords(ctx, func(d *dictionary) {
		mended, taken = d.mend(ctx, words, 0)
		if d.err == nil && len(taken) > 0 && !d.together(mended) {
			// A short word is like many others: it is mended only into what is found.
			mended, taken = d.mend(ctx, words, surelyMended)
		}
	})
	if err != nil {
		return "", nil, err
	}
	return mended, taken, nil
}

// surelyMended is how many letters a word has that is mended even where no lot
// has all the words of the search then.
const surelyMended = 6

// mend takes each word of so many letters at least that occurs nowhere for the
// one most like it.
func (d *dictionary) mend(ctx context.Context, words string, letters int) (mended string, taken []Mended) {
	var b strings.Builder
	end := 0
	for _, at := range wordRE.FindAllStringIndex(words, -1) {
		typed := words[at[0]:at[1]]
		if len(taken) == mostMended || utf8.RuneCountInString(typed) < letters || strings.HasPrefix(words[at[1]:], "*") || d.right(typed) {
			continue
		}
		if err := ctx.Err(); err != nil {
			d.fail(err)
			return "", nil
		}
		if best := d.likest(typed); best != "" {
			b.WriteString(words[end:at[0]] + best)
			end = at[1]
			taken = append(taken, Mended{typed, best})
		}
	}
	return b.String() + words[end:], taken
}

// together tells whether some lot has all the words of a text.
func (d *dictionary) together(text string) bool {
	f := Compile(wordsAlone(text))
	for _, segment := range d.snapshot.Segments() {
		s := &scope{segment: segment}
		of, err := d.living.in(s, nil)
		if err == nil {
			err = s.lookUp(&Filter{words: f.words, beginnings: f.beginnings}, of)
		}
		if err != nil {
			d.fail(err)
			return true
		}
		if !s.found.IsEmpty() {
			return true
		}
	}
	return false
}

// dictionary is the words there are: those of the index and the vocabulary. It
// keeps the first error of the library.
type dictionary struct {
	snapshot   *scorch.IndexSnapshot
	living     *livingCache
	vocabulary *vocabulary
	// likeliest is what likest found so far: that is dear, and asked again.
	likeliest map[string]string
	err       error
}

// right tells whether a word needs no mending: it is known, or it says nothing,
// or it is no word but a code.
func (d *dictionary) right(typed string) bool {
	words := d.vocabulary.words(typed)
	if len(words) != 1 || slips(utf8.RuneCountInString(typed)) == 0 || numerals[words[0]] > 0 {
		return true
	}
	return d.vocabulary.known[words[0]] || d.occurs(words[0])
}

// occurs tells whether any document of the index has a word, deleted ones left out.
func (d *dictionary) occurs(word string) bool {
	for _, segment := range d.snapshot.Segments() {
		documents, err := levelsOfWord(segment.Segment(), word)
		if err != nil {
			d.fail(err)
			return false
		}
		if (&scope{segment: segment}).live(documents.any) > 0 {
			return true
		}
	}
	return false
}

// having is how many documents of the index have a word, deleted ones left out.
func (d *dictionary) having(word string) (total uint64) {
	for _, segment := range d.snapshot.Segments() {
		documents, err := levelsOfWord(segment.Segment(), word)
		if err != nil {
			d.fail(err)
			return 0
		}
		total += (&scope{segment: segment}).live(documents.any)
	}
	return total
}

func (d *dictionary) fail(err error) {
	if d.err == nil {
		d.err = err
	}
}

// likeness is how a word compares with what was typed.
type likeness struct {
	word    string
	slips   int
	initial bool   // it begins with the same letter
	having  uint64 // documents that have it, or what it is folded to
}

// likest is the word most like one that was typed, or two words that were run
// together; empty if there is none.
func (d *dictionary) likest(typed string) string {
	best, asked := d.likeliest[typed]
	if !asked {
		best = d.findLikest(typed)
		d.likeliest[typed] = best
	}
	return best
}

func (d *dictionary) findLikest(typed string) string {
	all := append(d.near(typed), d.runTogether(fold(typed))...)
	all = slices.DeleteFunc(all, func(l likeness) bool { return l.having == 0 })
	if len(all) == 0 {
		return ""
	}
	return slices.MinFunc(all, compareLikeness).word
}

func compareLikeness(a, b likeness) int {
	return cmp.Or(a.slips-b.slips, yes(b.initial)-yes(a.initial), cmp.Compare(b.having, a.having), cmp.Compare(a.word, b.word))
}

func yes(b bool) int {
	if b {
		return 1
	}
	return 0
}

// near lists the words like one that was typed, with its plural s and without.
func (d *dictionary) near(typed string) []likeness {
	word := fold(typed)
	all := d.alike(word, slips(utf8.RuneCountInString(word)))
	if one := stem(word); one != word {
		all = append(all, d.alike(one, slips(utf8.RuneCountInString(one)))...)
	}
	return all
}

// alike lists the words at most so many slips from a word, but for itself.
func (d *dictionary) alike(word string, most int) []likeness {
	if most == 0 {
		return nil
	}
	var all []likeness
	seen := map[string]bool{word: true}
	consider := func(other string) {
		if seen[other] || strings.ContainsAny(other, "0123456789") || utf8.RuneCountInString(other) < 3 {
			return
		}
		seen[other] = true
		if n := slipsBetween(word, other); n <= most {
			all = append(all, likeness{other, n, initial(word) == initial(other), d.havingFolded(other)})
		}
	}
	for other := range d.vocabulary.known {
		consider(other)
	}
	d.visitAlike(word, most, consider)
	return all
}

func initial(word string) rune {
	r, _ := utf8.DecodeRuneInString(word)
	return r
}

// visitAlike shows the words of the index that are like a word.
func (d *dictionary) visitAlike(word string, most int, visit func(string)) {
	like, err := alikeWords(word, most)
	if err != nil {
		d.fail(err)
		return
	}
	last := ""
	for _, segment := range d.snapshot.Segments() {
		err := eachTerm(segment.Segment(), wordField, span{automaton: like}, func(term string, _ *roaring.Bitmap) {
			if other, _, _ := strings.Cut(term, endOfWord); other != last {
				last = other
				visit(other)
			}
		})
		if err != nil {
			d.fail(err)
			return
		}
	}
}

// havingFolded is how many documents have all that a word is folded to, at most.
func (d *dictionary) havingFolded(word string) uint64 {
	var least uint64
	for i, token := range d.vocabulary.foldPhrases([]string{word}).tokens {
		if having := d.having(token); i == 0 || having < least {
			least = having
		}
	}
	return least
}

// shortestPart is how many letters each of two words that were run together has,
// at least.
const shortestPart = 3

// runTogether lists the pairs of words that a word may be without its blank.
func (d *dictionary) runTogether(word string) []likeness {
	var all []likeness
	letters := []rune(word)
	for cut := shortestPart; cut <= len(letters)-shortestPart; cut++ {
		first, second := string(letters[:cut]), string(letters[cut:])
		if having := min(d.having(first), d.having(stem(second))); having > 0 {
			all = append(all, likeness{first + " " + second, 1, true, having})
		}
	}
	return all
}

// slipsBetween counts the letters that were left out, put in, mistaken or
// swapped with their neighbour between two words.
func slipsBetween(a, b string) int {
	from, to := []rune(a), []rune(b)
	var before, last []int
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i := range from {
		before, last, row = last, row, make([]int, len(to)+1)
		row[0] = i + 1
		for j := range to {
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+yes(from[i] != to[j]))
			if i > 0 && j > 0 && from[i] == to[j-1] && from[i-1] == to[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return row[len(to)]
}
