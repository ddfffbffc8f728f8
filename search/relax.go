package search

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
	"heirpress/search/trade"
)

// Relaxed is a filter with one part asked less strictly.
type Relaxed struct {
	// Field is the part, as Violation names fields.
	Field string
	// Description is how it is asked now, as "within 350 mi".
	Description string
	// More is how many more lots pass; at least 1.
	More int
	// Filter is the filter with that part changed.
	Filter *pb.LotFilter
}

// Limits of what is tried to find more.
const (
	mostRelaxed      = 5
	mostWordsDropped = 8
	mostAlternatives = 3 // to each word
)

// Relax tells what parts of a filter to ask less strictly to find more lots:
// distance, price and weight are let out a little at a time, and everything else
// is left off; words that no lot has are left off together. At most five are told,
// in that order. Near must be resolved.
func (x *Index) Relax(ctx context.Context, f *pb.LotFilter) ([]Relaxed, error) {
	found, err := x.count(ctx, f)
	if err != nil {
		return nil, err
	}
	var unknown []stretch
	if found == 0 {
		if unknown, err = x.unknownWords(ctx, f.GetWords()); err != nil {
			return nil, err
		}
	}
	var told []Relaxed
	seen := map[string]bool{}
	for _, r := range relaxations(f, unknown) {
		if len(told) == mostRelaxed || seen[r.Field] && r.Field != "words" {
			continue
		}
		total, err := x.count(ctx, r.Filter)
		if err != nil {
			return nil, err
		}
		if r.More = total - found; r.More > 0 {
			seen[r.Field] = true
			told = append(told, r)
		}
	}
	return told, nil
}

// count is how many lots pass a filter.
func (x *Index) count(ctx context.Context, f *pb.LotFilter) (int, error) {
	result, err := x.Search(ctx, Query{Filter: f})
	if err != nil {
		return 0, err
	}
	return result.Total, nil
}

// relaxations lists the ways to ask a filter less strictly, the smallest step of
// each part first, given where the words stand that no lot has.
func relaxations(f *pb.LotFilter, unknown []stretch) []Relaxed {
	l := &looser{from: f}
	if near := f.GetNear(); near != nil && near.WithinRoadKm != nil {
		for _, km := range stepsOut(near.GetWithinRoadKm()/place.KmPerMile, 1.25, 2, 4, 16) {
			km := min(km*place.KmPerMile, maxReachKm)
			l.add("near.within_road_km", "within "+trade.FormatRoad(km, trade.US), func(g *pb.LotFilter) { g.Near.WithinRoadKm = &km })
		}
		l.add("near.within_road_km", "at any distance", func(g *pb.LotFilter) { g.Near.WithinRoadKm = nil })
	}
	if price := f.GetMaxPrice(); price != nil {
		for _, units := range stepsOut(float64(price.GetUnits()), 1.25, 2) {
			dearer := &pb.Money{CurrencyCode: price.GetCurrencyCode(), Units: int64(units)}
			l.add("max_price", "at most "+trade.FormatMoney(dearer), func(g *pb.LotFilter) { g.MaxPrice = dearer })
		}
	}
	if f != nil && f.MaxMassKg != nil {
		for _, lb := range stepsOut(f.GetMaxMassKg()/trade.KgPerPound, 1.25, 2) {
			kg := lb * trade.KgPerPound
			l.add("max_mass_kg", "weighing at most "+trade.FormatMass(kg, trade.US), func(g *pb.LotFilter) { g.MaxMassKg = &kg })
		}
	}
	l.leaveOff()
	l.partPhrases()
	if len(unknown) > 0 {
		l.dropUnknown(unknown) // Without the other words nothing is found either.
	} else {
		l.dropWords()
	}
	return l.all
}

// looser makes filters that ask less than one.
type looser struct {
	from *pb.LotFilter
	all  []Relaxed
}

func (l *looser) add(field, description string, change func(*pb.LotFilter)) {
	f := proto.CloneOf(l.from)
	change(f)
	l.all = append(l.all, Relaxed{Field: field, Description: description, Filter: f})
}

// leaveOff leaves off each of the parts that cannot be let out.
func (l *looser) leaveOff() {
	f := l.from
	if f.GetKnownOnly() {
		l.add("known_only", "counting lots that do not say", func(g *pb.LotFilter) { g.KnownOnly = false })
	}
	if f.GetSheet() != nil {
		l.add("sheet", "whatever sheet it prints", func(g *pb.LotFilter) { g.Sheet = nil })
	}
	if len(f.GetClasses()) > 0 {
		l.add("classes", "of any class", func(g *pb.LotFilter) { g.Classes = nil })
	}
	if len(f.GetKinds()) > 0 {
		l.add("kinds", "of any kind", func(g *pb.LotFilter) { g.Kinds = nil })
	}
	if len(f.GetRegions()) > 0 {
		l.add("regions", "anywhere", func(g *pb.LotFilter) { g.Regions = nil })
	}
	if f.GetShop() != "" {
		l.add("shop", "in any shop", func(g *pb.LotFilter) { g.Shop = "" })
	}
}

// partPhrases lets the words of phrases stand apart.
func (l *looser) partPhrases() {
	if whole, phrases := partPhrases(l.from.GetWords()); len(pairsAsked(phrases)) > 0 {
		l.add("words", "with the quoted words apart", func(g *pb.LotFilter) { g.Words = strings.Join(strings.Fields(whole), " ") })
	}
}

// dropWords leaves out each word, where others are left to go by.
func (l *looser) dropWords() {
	whole, _ := partPhrases(l.from.GetWords())
	words := strings.Fields(whole)
	for i, word := range words[:min(len(words), mostWordsDropped)] {
		rest := strings.Join(slices.Concat(words[:i], words[i+1:]), " ")
		if len(Analyze(word)) > 0 && len(Analyze(rest)) > 0 {
			l.add("words", "without "+strconv.Quote(word), func(g *pb.LotFilter) { g.Words = rest })
		}
	}
}

// stepsOut multiplies a number, and rounds up to what people would say.
func stepsOut(n float64, factors ...float64) []float64 {
	var steps []float64
	for _, factor := range factors {
		wide := n * factor
		unit := math.Pow(10, math.Floor(math.Log10(max(wide, 1)))) / 2
		steps = append(steps, math.Ceil(wide/max(unit, 1))*max(unit, 1))
	}
	return steps
}

// DidYouMean is the words that find most, of those that differ from a filter's
// in one word that is spelt much the same. It is empty where none find anything.
func (x *Index) DidYouMean(ctx context.Context, f *pb.LotFilter) (string, error) {
	others, err := x.otherWords(ctx, f.GetWords())
	if err != nil {
		return "", err
	}
	best, most := "", 0
	for _, words := range others {
		g := proto.CloneOf(f)
		g.Words = words
		total, err := x.count(ctx, g)
		if err != nil {
			return "", err
		}
		if total > most {
			best, most = words, total
		}
	}
	return best, nil
}

// otherWords lists what the words may have been meant for.
func (x *Index) otherWords(ctx context.Context, words string) (others []string, err error) {
	err = x.lookUpWords(ctx, func(d *dictionary) {
		for i, at := range wordRE.FindAllStringIndex(words, -1) {
			if i == mostMended {
				break
			}
			for _, other := range d.alternatives(words[at[0]:at[1]]) {
				others = append(others, words[:at[0]]+other+words[at[1]:])
			}
		}
	})
	return others, err
}

// alternatives lists the few words most like one, that occur somewhere.
func (d *dictionary) alternatives(typed string) []string {
	all := slices.DeleteFunc(d.near(typed), func(l likeness) bool { return l.having == 0 })
	slices.SortFunc(all, compareLikeness)
	var first []string
	for _, l := range all[:min(len(all), mostAlternatives)] {
		first = append(first, l.word)
	}
	return first
}
