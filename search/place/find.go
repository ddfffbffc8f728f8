package place

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"

	"heirpress/search/place/internal/gaz"
)

// Longer texts than these, in bytes and in words, are no town's name, and would
// only take time.
const (
	maxText  = 200
	maxWords = 30
)

// Find is the town that a text means. It takes
//
//	Dayton, OH · Dayton Ohio · Springfield, Clark County, OH · Leeds, UK
//	45402 · Dayton, OH 45402 · London · Köln, Koeln or Cologne
//	39.76,-84.19 · 39.76 N 84.19 W
//
// with accents, capitals and punctuation as they come. A bare name is the most
// populous town of the name if that has at least ten times the people of the
// next; so is a name that is still shared when its region is given. A point is
// the town nearest to it, or far from any town the point to a tenth of a degree.
//
// The error is an *AmbiguousError, an *UnknownError or a *BadCoordinatesError.
func Find(text string) (Town, error) { return find(text, true) }

// Look is Find for a text that may well name no town, and is told so a hundred
// times sooner: its UnknownError has no near spellings.
func Look(text string) (Town, error) { return find(text, false) }

func find(text string, offer bool) (Town, error) {
	text = strings.TrimSpace(text)
	if len(text) > maxText {
		return Town{}, &UnknownError{Query: strings.ToValidUTF8(text[:maxText], "") + "…"}
	}
	if code, ok := zipCode(text); ok {
		return findZIP(text, code)
	}
	if province, ok := canadianCode(text); ok {
		return Town{}, &UnknownError{Query: text, Instead: "a Canadian postal code, of " + province + ": the gazetteer has US ZIP codes only"}
	}
	if p, ok := coordinates(text); ok {
		return findPoint(text, p)
	}
	q := parse(text)
	q.offer = offer
	if q.words() > maxWords {
		return Town{}, &UnknownError{Query: text}
	}
	return q.find()
}

func (q query) find() (Town, error) {
	found := q.search()
	if len(found) == 0 {
		// Only now are postcodes left out: some towns have figures in their names.
		q = q.withoutPostcodes()
		found = q.search()
	}
	slices.SortStableFunc(found, func(a, b int) int { return cmp.Compare(weight(b), weight(a)) })
	found, err := q.regionInstead(found)
	if err != nil {
		return Town{}, err
	}
	return q.settle(found)
}

// findZIP is the town that a ZIP code belongs to.
func findZIP(text string, code int) (Town, error) {
	town, ok := gazetteer().ZIP(code)
	if !ok {
		return Town{}, &UnknownError{Query: text}
	}
	return townAt(town), nil
}

// search is the numbers of the towns that the query may mean. The name is tried
// as long as it can be, and then with ever more of its last words taken for the
// region: "Kansas City" before a Kansas in City. A name that fits only when
// words are run together comes last: "Porter IN" is not Port Erin.
func (q query) search() []int {
	var runTogether []int
	for split := len(q.name); split > 0; split-- {
		parts := q.qualifiers
		if split < len(q.name) {
			parts = append([][]string{q.name[split:]}, parts...)
		}
		found := townsCalled(strings.Join(q.name[:split], ""), parts)
		if len(found) > 0 && (split == 1 || slices.ContainsFunc(found, spelt(q.name[:split]))) {
			return found
		}
		if runTogether == nil {
			runTogether = found
		}
	}
	return runTogether
}

// spelt tells whether a town's name has just the words given.
func spelt(words []string) func(town int) bool {
	return func(town int) bool { return slices.Equal(words, gaz.Words(gazetteer().Name(town))) }
}

// townsCalled is the towns of a name that lie where the qualifiers say. Their
// own names and principal further names come first, then lesser further names,
// then names in which ä, ö or ü was spelt ae, oe or ue.
func townsCalled(key string, qualifiers [][]string) []int {
	if found := qualified(principals(key), qualifiers); len(found) > 0 {
		return found
	}
	if found := qualified(byAlias(key, false), qualifiers); len(found) > 0 {
		return found
	}
	if plain := umlauts.Replace(key); plain != key {
		return qualified(principals(plain), qualifiers)
	}
	return nil
}

var umlauts = strings.NewReplacer("ae", "a", "oe", "o", "ue", "u", "aa", "a")

// principals is the towns whose own name, or a principal further one, has the
// key.
func principals(key string) []int {
	var towns []int
	from, to := gazetteer().Named(key)
	for town := from; town < to; town++ {
		towns = append(towns, town)
	}
	return append(towns, byAlias(key, true)...)
}

func byAlias(key string, principal bool) []int {
	var towns []int
	gazetteer().Alias(key, func(town int, p bool) {
		if p == principal {
			towns = append(towns, town)
		}
	})
	return towns
}

// settle chooses between the towns that were found, the most populous first.
func (q query) settle(found []int) (Town, error) {
	if len(found) == 0 && !q.offer {
		return Town{}, &UnknownError{Query: q.text}
	}
	if len(found) == 0 {
		return Town{}, &UnknownError{Query: q.text, Near: q.near()}
	}
	if town, ok := q.hinted(found); ok {
		return townAt(town), nil
	}
	found = q.asWritten(found)
	if len(found) == 1 || weight(found[0]) >= dominance*weight(found[1]) {
		return townAt(found[0]), nil
	}
	return Town{}, &AmbiguousError{Query: q.text, Choices: townsAt(found)}
}

func townsAt(numbers []int) []Town {
	towns := make([]Town, len(numbers))
	for i, n := range numbers {
		towns[i] = townAt(n)
	}
	return towns
}

// hinted is the town that a position or ZIP code after the name points to.
func (q query) hinted(found []int) (town int, ok bool) {
	if q.at != nil {
		return slices.MinFunc(found, func(a, b int) int {
			return cmp.Compare(kmFrom(*q.at, a), kmFrom(*q.at, b))
		}), true
	}
	if q.zip >= 0 {
		if town, ok := gazetteer().ZIP(q.zip); ok && slices.Contains(found, town) {
			return town, true
		}
	}
	return 0, false
}

// asWritten is those of the towns whose names are written just as the query
// writes it, if it has accents and any are: Hüde is not the larger Hude.
func (q query) asWritten(found []int) []int {
	name, _, _ := strings.Cut(q.text, ",")
	if len(name) == utf8.RuneCountInString(name) {
		return found
	}
	var same []int
	for _, town := range found {
		if strings.EqualFold(gazetteer().Name(town), strings.TrimSpace(name)) {
			same = append(same, town)
		}
	}
	if len(same) == 0 {
		return found
	}
	return same
}

// dominance is how many times the people of the next a town must have to be
// meant by their shared name alone.
const dominance = 10

// What to reckon for a town whose population is not known: GeoNames's is seldom
// missing above about 1,000, and it does not list most places under 500.
const (
	unlistedWeight = 200
	unknownWeight  = 1000
)

// weight is how many people stand behind a town when names are shared.
func weight(town int) int { return weightOf(gazetteer().Record(town)) }

func weightOf(r gaz.Record) int {
	switch {
	case r.Postal:
		return unlistedWeight
	case r.Population == 0:
		return unknownWeight
	}
	return r.Population
}

func kmFrom(p Point, town int) float64 {
	lat, lng := gazetteer().Position(town)
	return GreatCircleKm(p, Point{Lat: lat, Lng: lng})
}
