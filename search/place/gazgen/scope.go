package main

import "strings"

// homelands are the countries covered down to the village: those of North
// America and Europe, and Australia and New Zealand, by ISO 3166-1 code.
const homelands = " US CA MX PR VI BM GL PM AU NZ" +
	" AD AL AT AX BA BE BG BY CH CY CZ DE DK EE ES FI FO FR GB GG GI GR HR HU IE IM IS IT JE" +
	" LI LT LU LV MC MD ME MK MT NL NO PL PT RO RS RU SE SI SJ SK SM UA VA XK "

// crowded are those of them in which GeoNames lists a great many villages
// under 1,000 people that are not worth their bytes here.
const crowded = " AU MX NZ RO RU UA BY MD HU RS HR GR BG "

// worldPopulation is the least population of a town elsewhere in the world.
const worldPopulation = 50_000

func listed(country, list string) bool { return strings.Contains(list, " "+country+" ") }

// wanted tells whether a town belongs in the gazetteer. A population of 0 is
// one that GeoNames does not know: it lists such places only as seats of local
// government, so they stay.
func wanted(c city) bool {
	switch c.feature {
	case "PPLQ", "PPLH", "PPLW", "PPLCH":
		return false // Abandoned, historical, destroyed.
	}
	switch {
	case c.name == "" || c.country == "":
		return false
	case listed(c.country, crowded):
		return c.population == 0 || c.population >= 1000
	case listed(c.country, homelands):
		return c.population == 0 || c.population >= 500
	}
	return c.population >= worldPopulation
}
