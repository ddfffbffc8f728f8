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
// Sudbury.
func (a *atlas) nameShort(e *entry) {
	for _, short := range plainForms(e.Name, e.Country) {
		a.aliasShort(e, short)
	}
	words := gaz.Words(e.Name)
	for _, alternate := range e.alternates {
		short := gaz.Words(alternate)
		n := len(short)
		if plausible(alternate) && n > 0 && n < len(words) &&
			(slices.Equal(short, words[:n]) || slices.Equal(short, words[len(words)-n:])) {
			a.aliasShort(e, alternate)
		}
	}
}

// aliasShort adds a short form, which is principal where people would mean just
// this town by it: it is no quarter, and no town about has the name for its own,
// unless far smaller and somewhere else.
func (a *atlas) aliasShort(e *entry, short string) {
	key := gaz.Key(short)
	if len(key) < shortKey {
		return
	}
	principal := e.feature != quarter
	for _, other := range a.byName[e.Country+key] {
		about := e.Country != "US" || other.admin1 == e.admin1
		rival := e.Population < farSmaller*other.Population || other.at.km(e.at) < besideKm
		if !other.gone && other.key == key && about && rival {
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

// quarter is GeoNames's code for a part of a town.
const quarter = "PPLX"

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
