package lots

import (
	"strconv"
	"strings"
)

// The long tail of what people write is invented: words of three syllables, of
// which a few turn up all the time and most hardly ever, as words do.
const (
	vocabularySize = 40_000
	zipfExponent   = 1.07
	zipfOffset     = 3
)

// Syllables that make up a word: the first two end in a vowel and all begin with
// a consonant, so that no two words are alike.
var (
	firsts = syllables("br|dr|fl|gr|kl|m|n|p|sk|st|t|tr|v|w|z|h", "a|e|i|o")
	middle = syllables("l|r|n|m|v|d|g|k|b", "a|e|i|o|u")
	lasts  = syllables("d|f|l|m|n|p|t|v|w", "an|or|ick|ume|end|ath|ow")
)

func syllables(onsets, rests string) (all []string) {
	for onset := range strings.SplitSeq(onsets, "|") {
		for rest := range strings.SplitSeq(rests, "|") {
			all = append(all, onset+rest)
		}
	}
	return all
}

// words is how many different words Word makes before it begins again.
var words = len(firsts) * len(middle) * len(lasts)

// Word is the invented word of a number, in small letters. Numbers next to each
// other make words that have nothing in common.
func Word(number int) string {
	n := (number*stride + stride/3) % words
	return firsts[n%len(firsts)] + middle[n/len(firsts)%len(middle)] + lasts[n/len(firsts)/len(middle)]
}

// stride has no divisor in common with the number of words, so that every word
// comes once.
const stride = 100_003

// tailWord is a word of the long tail, by how often it is used.
func (d *dice) tailWord() string { return Word(int(d.tail.Uint64()) + wordsFromShops) }

// rareWord is any word of the long tail.
func (d *dice) rareWord() string { return Word(d.IntN(vocabularySize) + wordsFromShops) }

// wordsFromShops is from where the words are counted that are not shops' own.
const wordsFromShops = 60_000

func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

// Makes and faces are words of their own numbers.
const (
	makeCount = 240
	faceCount = 2_500
	makesFrom = 110_000
	facesFrom = 120_000
)

// drawMake is a maker, some far more common than others.
func (d *dice) drawMake() string { return makeNumber(skewed(d, makeCount)) }

func makeNumber(n int) string { return capital(Word(makesFrom + n)) }

// face is a face, in a keeper's words.
func (d *dice) face() string {
	name := capital(Word(facesFrom + skewed(d, faceCount)))
	return name + " " + pick(d, styles)
}

// styles are what faces are sorted by, and no family's name.
var styles = []string{"Gothic", "Roman", "Antique", "Script", "Text", "Old Style", "Condensed", "Bold", "Italic", "Wide Latin", "Grotesque", "Sans"}

// skewed is a number below n; half of all draws are below n/8.
func skewed(d *dice, n int) int {
	x := d.Float64()
	return int(float64(n) * x * x * x)
}

// model is a model code such as KR15, KR-15, No. 4 or C 3, which goes with its
// maker: a maker has few.
func (d *dice) model(maker string) string {
	own := newDice(uint64(len(maker))*131+uint64(maker[0])*17+uint64(maker[len(maker)-1]), uint64(d.IntN(6)))
	letters := string(rune('A'+own.IntN(26))) + string(rune('A'+own.IntN(26)))
	number := strconv.Itoa(1 + own.IntN(48))
	switch own.IntN(5) {
	case 0:
		return letters[:1] + pick(d, []string{"", " ", "-"}) + number
	case 1:
		return "No. " + strconv.Itoa(1+own.IntN(9))
	}
	return letters + pick(d, []string{"", " ", "-"}) + number
}

// sentences is a description: what people say of such things, with names and
// words of their own among it.
func (d *dice) sentences(n int) string {
	var all []string
	for range n {
		all = append(all, d.fill(pick(d, sayings)))
	}
	return strings.Join(all, " ")
}

// fill puts words in for the blanks of a saying.
func (d *dice) fill(saying string) string {
	var b strings.Builder
	for i, part := range strings.Split(saying, "_") {
		if i > 0 {
			b.WriteString(d.tailWord())
		}
		b.WriteString(part)
	}
	return b.String()
}

var sayings = []string{
	"Came out of the _ shop when it closed.", "Stood in a dry room at _ for thirty years.", "Last used for _ labels.",
	"In work until the spring.", "Needs cleaning, otherwise sound.", "Some rust on the _ side.", "The _ is worn but serves.",
	"Marked _ on the frame.", "Bought from the widow of _.", "A few sorts are battered.", "Complete as far as anybody can tell.",
	"With a drawer of _ and odd spares.", "My grandfather printed _ and _ with it.", "Never used since it left the school.",
	"Must go before the building is sold.", "Heavy; bring two people and a dolly.", "Photographs on request.",
	"Kept oiled.", "Rollers were recast last year.", "The bearer is chipped near the _.", "Proofed once, very clean.",
	"From the _ bequest.", "Sold as found.", "Includes the original _ catalogue.", "Stored in the loft above _.",
	"There is a crack by the _, welded long ago.", "Good impression.", "Ask for _ at the gate.", "Good for _ work.",
}
