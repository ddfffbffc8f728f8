package rigging

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"heirpress/search/trade"
)

// page is a brief put into words in somebody's units, for every form that it is
// printed in.
type page struct {
	Title    string
	Lead     []string
	Sections []section
}

// section is a part of a page under a heading.
type section struct {
	ID, Heading string
	Blocks      []block
}

// block is one thing in a section. Exactly one of its fields is set.
type block struct {
	// Text is a paragraph, Sub a smaller heading.
	Text, Sub string
	// List has bullets, Steps numbers.
	List, Steps []string
	Table       *table
	Picture     *picture
}

// table has a heading over each cell of its rows; the first cell names the row.
type table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// report puts a brief into words.
type report struct {
	b *Brief
	u trade.Units
}

func pageOf(b *Brief, u trade.Units) page {
	r := report{b, u}
	p := page{Title: "Moving brief: " + b.Title, Lead: r.lead()}
	for _, s := range []section{
		r.questions(), r.riggers(), r.weights(), r.byHand(), r.handling(), r.ends(), r.vehicle(), r.way(),
		r.lashing(), r.tipping(), r.stripDown(), r.hazards(), r.cautions(), r.notCovered(),
	} {
		if len(s.Blocks) > 0 {
			p.Sections = append(p.Sections, s)
		}
	}
	return p
}

// mass shows a mass that is known to be one figure.
func (r report) mass(kg float64) string { return trade.FormatMass(kg, r.u) }

// masses shows a mass with its grounds.
func (r report) masses(m Mass) string {
	if !m.Known {
		return "not known"
	}
	text := trade.FormatMassRange(m.LowKg, m.HighKg, r.u)
	switch m.Grounds {
	case "measured":
		return text + ", weighed"
	case "estimated":
		return fmt.Sprintf("%s, estimated (%s)", text, m.Basis)
	}
	return text + ", " + m.Grounds
}

// force shows a force, or a load to be met, rounded up to 5 lb or 5 kg: none of
// them is known better.
func (r report) force(kg float64) string {
	unit := 1.0
	if r.u == trade.US {
		unit = trade.KgPerPound
	}
	return trade.FormatMass(math.Ceil(kg/unit/5*(1-hair))*5*unit, r.u)
}

// length shows a length to the inch, and above 10 ft in feet; or to the
// millimetre, and above 3 m in metres.
func (r report) length(mm float64) string {
	if r.u == trade.Metric {
		if mm >= 3000 {
			return r.span(mm)
		}
		return trade.FormatLength(math.Round(mm), trade.Metric)
	}
	if in := math.Round(mm / trade.MmPerInch); in <= 120 {
		return decimal(in, 0) + " in"
	}
	return r.span(mm)
}

// pressure shows a pressure in pounds a square foot or kilograms a square metre.
func (r report) pressure(kgPerM2 float64) string {
	if r.u == trade.Metric {
		return decimal(roundTo(kgPerM2, 10), 0) + " kg/m²"
	}
	return decimal(kgPerM2/kgPerM2OfPsf, 0) + " psf"
}

// span shows a length of a deck: in feet and inches, or in metres.
func (r report) span(mm float64) string {
	in := int(math.Round(mm / trade.MmPerInch))
	switch {
	case r.u == trade.Metric:
		return decimal(mm/1000, 2) + " m"
	case in < 24:
		return r.length(mm)
	case in%12 == 0:
		return fmt.Sprintf("%d ft", in/12)
	}
	return fmt.Sprintf("%d ft %d in", in/12, in%12)
}

// decimal writes a number with at most so many decimals.
func decimal(v float64, places int) string {
	scale := math.Pow10(places)
	return strconv.FormatFloat(math.Round(v*scale)/scale, 'f', -1, 64)
}

// capital writes the first letter large.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// runOfTags is how many tags in a row are written as "M1 to M20".
const runOfTags = 3

// tags writes tags as a person does: "P2, P4, M1 to M20".
func tagList(tags []string) string {
	var parts []string
	for i := 0; i < len(tags); {
		end := i + 1
		for end < len(tags) && follows(tags[end-1], tags[end]) {
			end++
		}
		if end-i >= runOfTags {
			parts = append(parts, tags[i]+" to "+tags[end-1])
		} else {
			parts = append(parts, tags[i:end]...)
		}
		i = end
	}
	return strings.Join(parts, ", ")
}

// follows tells whether tag b is the next number after a: M9 and M10.
func follows(a, b string) bool {
	head, n := numbered(a)
	other, m := numbered(b)
	return n >= 0 && head == other && m == n+1
}

// numbered parts "M10" into "M" and 10; -1 if there is no plain number.
func numbered(tag string) (head string, n int) {
	head = strings.TrimRight(tag, "0123456789")
	digits := tag[len(head):]
	n, err := strconv.Atoi(digits)
	if err != nil || strings.HasPrefix(digits, "0") {
		return tag, -1
	}
	return head, n
}
