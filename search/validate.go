package search

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"unicode/utf8"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search/place"
)

// Limits of a filter, as search.proto states them.
const (
	maxWords      = 64
	maxWordsChars = 1000
	maxKinds      = 20
	maxClasses    = 50
	maxStates     = 20
	maxRegions    = 20
	maxReachKm    = 25_000
	maxSideMm     = 10_000
)

// Violation is one thing wrong with a filter.
type Violation struct {
	// Field is where, from the filter down: "near.within_road_km".
	Field string
	// Description says what would be right.
	Description string
}

// InvalidError says that a query cannot be answered as it is.
type InvalidError struct {
	// Violations is every thing wrong with it; never empty.
	Violations []Violation
}

// Error names every field.
func (e *InvalidError) Error() string {
	var parts []string
	for _, v := range e.Violations {
		parts = append(parts, v.Field+": "+v.Description)
	}
	return "search: " + strings.Join(parts, "; ")
}

// violations gathers what is wrong.
type violations []Violation

// require notes a violation unless ok. Of long texts it repeats the beginning.
func (v *violations) require(ok bool, field, format string, args ...any) {
	if ok {
		return
	}
	for i, arg := range args {
		if text, is := arg.(string); is && len(text) > mostRepeated {
			args[i] = cut(text, mostRepeated) + "…"
		}
	}
	*v = append(*v, Violation{field, fmt.Sprintf(format, args...)})
}

// mostRepeated is how much of a text that is wrong is repeated, in bytes.
const mostRepeated = 60

// Validate holds a filter against the limits that search.proto states, and
// returns every violation. A filter that is nil is valid.
func Validate(f *pb.LotFilter) []Violation {
	var v violations
	v.words(f.GetWords())
	v.lists(f)
	v.near(f.GetNear())
	if sheet := f.GetSheet(); sheet != nil {
		v.side("sheet.width_mm", sheet.GetWidthMm())
		v.side("sheet.height_mm", sheet.GetHeightMm())
	}
	if f != nil && f.MaxMassKg != nil {
		v.require(positive(f.GetMaxMassKg()), "max_mass_kg", "must be greater than 0 kg, not %v", f.GetMaxMassKg())
	}
	if f.GetMaxPrice() != nil {
		v.money("max_price", f.GetMaxPrice())
	}
	v.require(f.GetShop() == "" || shopName.MatchString(f.GetShop()), "shop", `must be a name such as "shops/corwen", not %q`, f.GetShop())
	return v
}

var shopName = regexp.MustCompile(`^shops/[^/]{1,200}$`)

func (v *violations) words(words string) {
	chars, count := utf8.RuneCountInString(words), len(strings.Fields(words))
	v.require(chars <= maxWordsChars, "words", "may have at most %d characters, not %d", maxWordsChars, chars)
	v.require(count <= maxWords, "words", "may be at most %d words, not %d", maxWords, count)
	if chars <= maxWordsChars && count <= maxWords {
		whole, starred := partBeginnings(words)
		whole, _ = partPhrases(whole)
		v.beginnings(words)
		v.require(count == 0 || len(starred) > 0 || len(Analyze(whole)) > 0, "words", "needs a word to go by: %q has none", words)
	}
}

// wordsAlone is a filter of words and nothing else.
func wordsAlone(words string) *pb.LotFilter { return &pb.LotFilter{Words: words} }

func (v *violations) lists(f *pb.LotFilter) {
	list(v, "kinds", f.GetKinds(), maxKinds, pb.Kind_name)
	list(v, "classes", f.GetClasses(), maxClasses, pb.Class_name)
	list(v, "states", f.GetStates(), maxStates, pb.LotState_name)
	if n := len(f.GetRegions()); n > maxRegions {
		v.require(false, "regions", "may be at most %d, not %d", maxRegions, n)
		return
	}
	for i, region := range f.GetRegions() {
		v.require(regionName.MatchString(region), fmt.Sprintf("regions[%d]", i), `must be as "GB" or "US/OH", not %q`, region)
	}
}

var regionName = regexp.MustCompile(`^[A-Z]{2}(/[^/]{1,100})?$`)

// list asks that there are not too many, and that each is one of the contract.
func list[E ~int32](v *violations, field string, values []E, limit int, names map[int32]string) {
	if len(values) > limit {
		v.require(false, field, "may be at most %d, not %d", limit, len(values))
		return
	}
	for i, value := range values {
		v.require(value != 0 && names[int32(value)] != "", fmt.Sprintf("%s[%d]", field, i), "there is no %d", value)
	}
}

func (v *violations) near(near *pb.Near) {
	if near == nil {
		return
	}
	p := near.GetPoint()
	v.require(p != nil || strings.TrimSpace(near.GetPlace()) != "", "near", "needs a place or a point")
	if p != nil {
		v.require(place.Point{Lat: p.GetLatitude(), Lng: p.GetLongitude()}.Valid(), "near.point",
			"must be within ±90 and ±180 degrees, not %v, %v", p.GetLatitude(), p.GetLongitude())
	}
	if near.WithinRoadKm != nil {
		km := near.GetWithinRoadKm()
		v.require(positive(km) && km <= maxReachKm, "near.within_road_km", "must be greater than 0 and at most %d km, not %v", maxReachKm, km)
	}
}

func (v *violations) side(field string, mm float64) {
	v.require(positive(mm) && mm <= maxSideMm, field, "must be greater than 0 and at most %d mm, not %v", maxSideMm, mm)
}

func (v *violations) money(field string, m *pb.Money) {
	v.require(currency.MatchString(m.GetCurrencyCode()), field+".currency_code", `must be three capital letters such as "USD", not %q`, m.GetCurrencyCode())
	v.require(m.GetUnits() >= 0, field+".units", "must be at least 0, not %d", m.GetUnits())
	v.require(m.GetNanos() >= 0 && m.GetNanos() <= 999_999_999, field+".nanos", "must be 0 to 999999999, not %d", m.GetNanos())
}

var currency = regexp.MustCompile(`^[A-Z]{3}$`)

// positive tells whether a number is finite and greater than 0.
func positive(n float64) bool { return n > 0 && !math.IsInf(n, 1) }
