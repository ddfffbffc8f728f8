package search

import (
	"regexp"
	"slices"
	"strings"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/trade"
)

// clause is a way of saying something that is not a word to look for.
type clause struct {
	// needs are what a text has at least one of, in small letters, before it is
	// worth looking: expressions take their time.
	needs []string
	looks *regexp.Regexp
	// given tells whether a filter gives the part already.
	given func(f *pb.LotFilter) bool
	// read takes what was found into the understanding. It returns what that
	// says, and where in the text it ends; or nothing, and what is in doubt.
	read func(u *Understanding, m match) (said string, end int, unsure string)
}

// mayBeIn tells whether a text has any of what the clause needs.
func (c clause) mayBeIn(text string) bool {
	text = strings.ToLower(text)
	return c.needs == nil || slices.ContainsFunc(c.needs, func(need string) bool { return strings.Contains(text, need) })
}

// match is where a clause was found in a text.
type match struct {
	text string
	at   []int
}

// group is what a group of the expression has found.
func (m match) group(n int) string {
	if m.at[2*n] < 0 {
		return ""
	}
	return m.text[m.at[2*n]:m.at[2*n+1]]
}

// first is the first of the groups that has found anything.
func (m match) first() string {
	for n := 1; 2*n < len(m.at); n++ {
		if g := m.group(n); g != "" {
			return g
		}
	}
	return ""
}

func (m match) end() int { return m.at[1] }

// What clauses are made of.
const (
	before   = `(?i)[\s,;(]`
	after    = `[\s,;.)]`
	figure   = `\d[\d,]*(?:\.\d+)?`
	atMost   = `(?:under|below|less than|lighter than|cheaper than|no more than|not more than|not over|at most|up to|maximum(?: of)?|max\.?(?: of)?|<=?|≤|` + atMostAbroad + `)\s*`
	orLess   = `\s*(?:or less|or under|or lighter|or cheaper|and under|at most|max(?:imum)?\.?|tops)`
	mass     = amount + `(?:lbs?|pounds?|kgs?|kilos?|kilogram(?:me)?s?|(?:short |long |metric )?tons?|tonnes?|cwt)\b\.?`
	money    = `(?:(?:US|CA|A|NZ)?\$|£|€)\s?` + figure + `|` + amount + `(?:€|(?:dollars?|bucks|usd|cad|aud|gbp|eur|euros?|quid|pounds sterling)\b)`
	distance = amount + `(?:mi|miles?|kms?|kilomet(?:er|re)s?)\b\.?`
	unitOf   = `\s*(?:in\b\.?|inch(?:es)?\b|"|”|″|mm\b|cm\b)?`
	sides    = `\d+(?:[ -]\d+/\d+|\.\d+)?` + unitOf + `\s*(?:x|×|by)\s*\d+(?:[ -]\d+/\d+|\.\d+)?` + unitOf
	about    = `(?:within|inside|in|less than|under|up to|no more than|not more than|no farther than|no further than|at most|max(?:imum)?|` + withinAbroad + `)`
	prints   = `(?:(?:that|which|to)\s+)?(?:(?:will|can|could)\s+)?(?:takes?|taking|prints?|printing|handles?|fits?|for)`
)

func expression(text string) *regexp.Regexp { return regexp.MustCompile(text) }

// clauses are read in this order: what is surer comes first.
var clauses = []clause{
	{
		[]string{"$", "£", "€", "dollar", "bucks", "usd", "cad", "aud", "gbp", "eur", "quid", "sterling"},
		expression(before + `(?:(?:priced?|costs?|costing)\s+)?(?:max(?:imum)?\s+price\s*:?\s*)?` + atMost + `(` + money + `)|` + before + `(?:max(?:imum)?\s+price)\s*:?\s*(` + money + `)|` + before + `(` + money + `)` + orLess),
		func(f *pb.LotFilter) bool { return f.GetMaxPrice() != nil },
		readMaxPrice,
	},
	{
		[]string{"lb", "pound", "kg", "kilo", "ton", "cwt"},
		expression(before + `(?:weigh(?:s|ing)?\s+)?` + atMost + `(` + mass + `)|` + before + `max(?:imum)?\s+weight\s*:?\s*(` + mass + `)|` + before + `(` + mass + `)` + orLess),
		func(f *pb.LotFilter) bool { return f != nil && f.MaxMassKg != nil },
		readWeight,
	},
	{
		[]string{"sheet", "paper", "print", "take", "taking", "handle"},
		expression(before + `(?:` + prints + `\s+)?(?:an?\s+)?(` + sides + `)\s*(?:sheets?|paper)` + after + `|` + before + `(?:` + prints + `\s+)?(?:an?\s+)?sheets?\s+(?:size\s+|of\s+)?(` + sides + `)|` + before + `(?:(?:that|which)\s+)?(?:(?:will|can|could)\s+)?print(?:s|ing)?\s+(?:up to\s+)?(?:an?\s+)?(` + sides + `)|` + before + `(?:` + prints + `\s+)?(?:an?\s+)?(` + paper + `)\s*(?:sheets?|paper)` + after + `|` + before + `(?:(?:that|which|to)\s+)?(?:(?:will|can|could)\s+)?(?:takes?|taking|prints?|printing|handles?)\s+(?:up to\s+)?(?:an?\s+)?(` + paper + `)` + after),
		func(f *pb.LotFilter) bool { return f.GetSheet() != nil },
		readSheet,
	},
	{
		[]string{"mi", "km", "kilo"},
		expression(before + `(?:` + about + `\s+)?(?:a\s+)?(` + distance + `)\s*(?:radius\s+)?(?:by road\s+)?(?:of|from|around|about|` + ofAbroad + `)\s+`),
		func(f *pb.LotFilter) bool { return f.GetNear() != nil },
		readWithinOf,
	},
	{
		nil,
		expression(before + `(?:nearest to|closest to|close to|not far from|near to|near|nearby|around|` + nearAbroad + `)\s+`),
		func(f *pb.LotFilter) bool { return f.GetNear() != nil },
		readNear,
	},
	{
		[]string{"within", "inside"},
		expression(before + `(?:within|inside)\s+(` + distance + `)`),
		func(f *pb.LotFilter) bool { return f.GetNear() != nil && f.Near.WithinRoadKm != nil },
		readWithin,
	},
	{
		nil,
		expression(before + `(?:in|from|throughout|anywhere in|across)\s+(?:the\s+)?`),
		func(f *pb.LotFilter) bool { return len(f.GetRegions()) > 0 },
		readRegion,
	},
	{
		[]string{"kind", "only"},
		expression(before + `(?:kind:\s*|only\s+)(wood type|metal type|\p{L}+)`),
		func(f *pb.LotFilter) bool { return len(f.GetKinds()) > 0 },
		readOnly,
	},
}

// metric tells whether a text is in metric units, in which it is said again.
func metric(text string) trade.Units {
	text = strings.ToLower(text)
	for _, unit := range []string{"kg", "kilo", "km", "tonne", "metric", "mm", "cm"} {
		if strings.Contains(text, unit) {
			return trade.Metric
		}
	}
	return trade.US
}

// readMaxPrice reads the most that somebody will pay.
func readMaxPrice(u *Understanding, m match) (string, int, string) {
	price, err := trade.ParseMoney(moneyWords.Replace(strings.ToLower(inFigures(m.first()))), "USD")
	if err != nil {
		return "", 0, err.Error()
	}
	u.Filter.MaxPrice = price
	return "at most " + trade.FormatMoney(price), m.end(), ""
}

// moneyWords turns the names of money into codes and signs.
var moneyWords = strings.NewReplacer(
	"pounds sterling", "GBP", "dollars", "USD", "dollar", "USD", "bucks", "USD", "quid", "GBP", "euros", "EUR", "euro", "EUR",
	"us$", "USD ", "ca$", "CAD ", "nz$", "NZD ", "a$", "AUD ", "usd", "USD", "cad", "CAD", "aud", "AUD", "gbp", "GBP", "eur", "EUR",
)

// readWeight reads the most that it may weigh: of a range, such as long and
// short tons are, the upper end, as the flag does.
func readWeight(u *Understanding, m match) (string, int, string) {
	w, err := trade.ParseWeight(inFigures(strings.TrimRight(m.first(), ".")))
	if err != nil {
		return "", 0, err.Error()
	}
	most := w.GetMassKg()
	if w.MassKg == nil {
		most = w.GetHighKg()
	}
	u.Filter.MaxMassKg = &most
	return "weighing at most " + trade.FormatMass(most, metric(m.first())), m.end(), ""
}

// readSheet reads the sheet that a press must print.
func readSheet(u *Understanding, m match) (string, int, string) {
	if sheet := paperSize(m.first()); sheet != nil {
		u.Filter.Sheet = sheet
		return "for a sheet of " + strings.ToUpper(m.first()) + ", " + trade.FormatRectangle(sheet, trade.Metric), m.end(), ""
	}
	sheet, err := trade.ParseRectangle(strings.TrimRight(strings.ToLower(m.first()), ". "))
	if err != nil {
		return "", 0, err.Error()
	}
	u.Filter.Sheet = sheet
	return "for a sheet of " + trade.FormatRectangle(sheet, metric(m.first())), m.end(), ""
}

// readOnly reads a kind, where somebody says that it is one.
func readOnly(u *Understanding, m match) (string, int, string) {
	kind, err := trade.ParseKind(m.group(1))
	if err != nil {
		return "", 0, "" // "only one roller" is no kind.
	}
	u.Filter.Kinds = []pb.Kind{kind}
	return "of kind " + trade.KindWord(kind), m.end(), ""
}
