package place

import "strings"

// border says which customs border a way between two towns crosses; empty if
// none. Only the ends are looked at, and the one country that lies between parts
// of another by road, Canada before Alaska: a way from Germany to Italy through
// Switzerland is not told.
func border(from, to Town) string {
	a, b := customsArea(from), customsArea(to)
	switch {
	case a == "" || b == "":
		return ""
	case a == b && a == unitedStates && (from.Region == "AK") != (to.Region == "AK"):
		return "from the United States into Canada, and out of it again"
	case a == b, northernIreland(from) && b == europeanUnion, northernIreland(to) && a == europeanUnion:
		return ""
	}
	return "from " + a + " into " + b
}

// Customs areas of more than one country, or with parts of one.
const (
	europeanUnion = "the European Union"
	unitedKingdom = "the United Kingdom"
	unitedStates  = "the United States"
)

// union are the members of the customs union of the EU, with Monaco and San
// Marino, by ISO 3166-1 code, in 2025: from memory. Andorra, Turkey and the
// United Kingdom have borders with it, agreements or not.
const union = " AT AX BE BG CY CZ DE DK EE ES FI FR GR HR HU IE IT LT LU LV MC MT NL PL PT RO SE SI SK SM "

// customsArea is the area whose customs a town lies in; empty if it has no
// country.
func customsArea(t Town) string {
	switch t.Country {
	case "":
		return ""
	case "US", "PR":
		return unitedStates
	case "GB", "GG", "IM", "JE":
		return unitedKingdom
	case "CH", "LI":
		return "Switzerland"
	}
	if strings.Contains(union, " "+t.Country+" ") {
		return europeanUnion
	}
	return countryName(t.Country)
}

// northernIreland tells a town of Northern Ireland, from which there is no
// customs border to Ireland (the Windsor Framework of 2023).
func northernIreland(t Town) bool { return t.Country == "GB" && t.Region == "Northern Ireland" }
