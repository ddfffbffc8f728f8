package main

import (
	"slices"
	"strings"

	"heirpress/search/place/internal/gaz"
)

// shortKey is how long the key of a short form must be to tell anything.
const shortKey = 4

// nameShort gives a town the short forms of its name: Hanau of Hanau am Main,
// Kempten of Kempten (Allgäu), Martigny of Martigny-Ville, Sudbury of Greater
// Sudbury. Kansas City is not called Kansas, nor Mexico City Mexico.
func (a *atlas) nameShort(e *entry) {
	for _, short := range plainForms(e.Name, e.Country) {
		a.aliasShort(e, short)
	}
	words := gaz.Words(e.Name)
	for _, alternate := range e.alternates {
		short := gaz.Words(alternate)
		n := len(short)
		if plausible(alternate) && n > 0 && n < len(words) && !a.names(e, short) &&
			(slices.Equal(short, words[:n]) || slices.Equal(short, words[len(words)-n:])) {
			a.aliasShort(e, alternate)
		}
	}
}

// names tells whether a short form names the region or country about a town:
// those of Oklahoma City and Mexico City.
func (a *atlas) names(e *entry, short []string) bool {
	key := strings.Join(short, "")
	if e.feature == capital {
		return key+"city" == e.key
	}
	for code, name := range a.admin1 {
		if strings.HasPrefix(code, e.Country+".") && gaz.Key(name) == key {
			return true
		}
	}
	return false
}

// aliasShort adds a short form, which is principal where people would mean just
// this town by it: it is no quarter, and no town of the country has the name for its own,
// unless far smaller and somewhere else.
func (a *atlas) aliasShort(e *entry, short string) {
	key := gaz.Key(short)
	if len(key) < shortKey {
		return
	}
	principal := e.feature != quarter
	for _, other := range a.byName[e.Country+key] {
		rival := e.Population < farSmaller*other.Population || other.at.km(e.at) < besideKm
		if !other.gone && other.key == key && rival {
			principal = false
		}
	}
	e.alias(short, principal)
}

const (
	// farSmaller is how many times the people of a town of the very name there
	// must be in one that the name is only short for.
	farSmaller = 3
	// besideKm is how near two towns are that are one place.
	besideKm = 4
)

// GeoNames's codes for a part of a town and for the capital of a country.
const (
	quarter = "PPLX"
	capital = "PPLC"
)

// plainForms is what a name is short for by the way it is written: what stands
// before a bracket, either side of a stroke, and in German what stands before
// the river or the land.
func plainForms(name, country string) []string {
	var forms []string
	if before, _, found := strings.Cut(name, " ("); found {
		forms = append(forms, before)
	}
	for side := range strings.SplitSeq(name, "/") {
		if side = strings.TrimSpace(side); side != name && !strings.Contains(side, "(") {
			forms = append(forms, side)
		}
	}
	if country == "DE" || country == "AT" || country == "CH" {
		for _, word := range germanBesides {
			if before, _, found := strings.Cut(name, " "+word+" "); found {
				forms = append(forms, before)
			}
		}
	}
	return forms
}

var germanBesides = []string{"am", "an", "an der", "auf", "bei", "im", "in", "ob", "vor"}
