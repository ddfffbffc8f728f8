package sheet

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// problemColumn is the last column of a rejected file. It is passed over when
// the corrected file is read.
const problemColumn = "problem"

// aliases are other headings for the columns, folded.
var aliases = map[string]string{
	"no": "tag", "no.": "tag", "#": "tag", "lot": "tag", "lotno": "tag", "lotno.": "tag", "lotnumber": "tag", "item#": "tag", "itemno": "tag", "itemnumber": "tag",
	"category": "kind",
	"name":     "title", "item": "title", "what": "title",
	"desc": "description", "notes": "description", "note": "description", "details": "description", "comments": "description", "remarks": "description",
	"maker": "make", "manufacturer": "make", "madeby": "make",
	"serialno": "serial", "serialno.": "serial", "serialnumber": "serial", "serial#": "serial", "s/n": "serial",
	"qty": "count", "quantity": "count", "howmany": "count",
	"wt": "weight", "mass": "weight",
	"w": "width", "d": "depth", "h": "height",
	"cond":         "condition",
	"missingparts": "missing",
	"askingprice":  "price", "asking": "price", "cost": "price",
}

// heading is what a column of a table is.
type heading struct {
	// text is the heading as written; column is its key, "" if unknown.
	text, column string
	// unit is what "weight (kg)" gives for the unit of bare numbers.
	unit string
}

// headings finds the column of each cell of the heading row. Where a column's
// own name is there, an alias of it is an unknown column.
func headings(cells, columns []string) ([]heading, error) {
	hs := make([]heading, len(cells))
	byOwnName := map[string]int{}
	for i, cell := range cells {
		text, unit := cutUnit(cell)
		hs[i] = heading{text: line(cell)}
		own := slices.IndexFunc(columns, func(c string) bool { return fold(c) == fold(text) })
		if own < 0 {
			continue
		}
		column := columns[own]
		if first, twice := byOwnName[column]; twice {
			return nil, fmt.Errorf("columns %d and %d are both %s: keep one of them, or rename one", first+1, i+1, column)
		}
		byOwnName[column] = i
		hs[i].column, hs[i].unit = column, unit
	}
	for i, cell := range cells {
		text, unit := cutUnit(cell)
		column := aliases[fold(text)]
		if _, taken := byOwnName[column]; hs[i].column == "" && column != "" && !taken {
			byOwnName[column] = i
			hs[i].column, hs[i].unit = column, unit
		}
	}
	if _, ok := byOwnName["title"]; !ok {
		return nil, fmt.Errorf("has no column title, which every sheet needs; its headings are %s", quoted(cells))
	}
	return hs, nil
}

// cutUnit takes "weight (kg)" apart. What is in brackets and no unit is dropped.
func cutUnit(cell string) (text, unit string) {
	text, rest, found := strings.Cut(strings.TrimSpace(cell), "(")
	unit, closed := strings.CutSuffix(rest, ")")
	if !found || !closed {
		return cell, ""
	}
	if unit = strings.TrimSpace(unit); !slices.Contains(unitWords, strings.ToLower(unit)) {
		unit = ""
	}
	return text, unit
}

func quoted(cells []string) string {
	var all []string
	for _, c := range cells {
		if c = line(c); c != "" {
			all = append(all, fmt.Sprintf("%q", c))
		}
	}
	return strings.Join(all, ", ")
}

// unitWords are the units that a heading may name, and that a cell may name
// against it.
var unitWords = strings.Fields(`lb lbs pound pounds kg kgs kilo kilos g oz t ton tons tonne tonnes cwt qr st stone
	in ins inch inches ft foot feet yd mm cm m pt pts point points pica picas line lines " ' #
	$ £ € usd gbp eur cad aud nzd chf dkk sek nok`)

var unitRE = regexp.MustCompile(`\pL+|["'#$£€]`)

// withUnit gives a text that names no unit the one of its heading, after its
// last figure: "about 600" under "weight (kg)" is about 600 kg.
func (h heading) withUnit(text string) string {
	end := strings.LastIndexFunc(text, unicode.IsNumber)
	if h.unit == "" || end < 0 {
		return text
	}
	for _, word := range unitRE.FindAllString(strings.ToLower(text), -1) {
		if slices.Contains(unitWords, word) {
			return text
		}
	}
	_, width := utf8.DecodeRuneInString(text[end:])
	return text[:end+width] + " " + h.unit + text[end+width:]
}
